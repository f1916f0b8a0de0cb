//! All stores as one: whatever is asked is asked of each, and all must give the same answer.

use casewright_records::{
    Addition, Book, Entry, Hash, Head, Look, Memory, Receipt, Report, Store, StoreError, Wanted,
    check,
};

use crate::support::*;

/// One store of each kind with the same entries.
pub(crate) struct All {
    memory: Memory,
    others: Vec<Box<dyn Store>>,
    /// The book in a file, by its path.
    pub(crate) path: std::path::PathBuf,
    #[cfg(feature = "postgres")]
    address: Option<String>,
}

/// Opens a book of each kind with its first entry.
pub(crate) fn all(name: &str) -> All {
    let mut memory = Memory::default();
    memory.append(&opening()).expect("opened");
    let path = folder(name).join("book.casewright");
    let (book, _) = Book::create(&path, &opening()).expect("opened");
    #[cfg_attr(
        not(feature = "postgres"),
        expect(unused_mut, reason = "one more is added")
    )]
    let mut others: Vec<Box<dyn Store>> = vec![Box::new(book)];
    #[cfg(feature = "postgres")]
    let address = crate::server::base().map(|(server, base)| {
        let address = server.address(&base, "casewright");
        let (book, _) = casewright_records::Server::create(&address, &opening()).expect("opened");
        others.push(Box::new(book));
        address
    });
    All {
        memory,
        others,
        path,
        #[cfg(feature = "postgres")]
        address,
    }
}

impl All {
    /// What a check of each says: the same.
    pub(crate) fn check(&self, expected: Option<Head>) -> Report {
        let report = check(&self.memory, expected).unwrap();
        let file = Book::open_to_look(&self.path).unwrap();
        assert_eq!(file.check(expected).unwrap(), report);
        #[cfg(feature = "postgres")]
        if let Some(address) = &self.address {
            let server = casewright_records::Server::open_to_look(address).unwrap();
            assert_eq!(server.check(expected).unwrap(), report);
        }
        report
    }

    fn agreed<T: PartialEq + std::fmt::Debug>(
        &self,
        ask: impl Fn(&dyn Look) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let first = ask(&self.memory);
        for other in &self.others {
            match (&first, ask(other.as_ref())) {
                (Ok(one), Ok(two)) => assert_eq!(*one, two),
                (Err(_), Err(_)) => {}
                differ => panic!("the stores differ: {differ:?}"),
            }
        }
        first
    }
}

impl Look for All {
    fn head(&self) -> Result<Head, StoreError> {
        self.agreed(|book| book.head())
    }

    fn entries(
        &self,
        wanted: Wanted<'_>,
        after: u64,
        most: usize,
    ) -> Result<Vec<Entry>, StoreError> {
        self.agreed(|book| book.entries(wanted, after, most))
    }

    fn attachment(&self, hash: &Hash) -> Result<Option<Vec<u8>>, StoreError> {
        self.agreed(|book| book.attachment(hash))
    }
}

impl Store for All {
    fn append(&mut self, addition: &Addition) -> Result<Receipt, StoreError> {
        let first = self.memory.append(addition);
        for other in &mut self.others {
            match (&first, other.append(addition)) {
                (Ok(one), Ok(two)) => assert_eq!(*one, two),
                (Err(StoreError::Refused(one)), Err(StoreError::Refused(two))) => {
                    assert_eq!(one.code, two.code);
                    assert_eq!(one.seen, two.seen);
                }
                differ => panic!("the stores differ: {differ:?}"),
            }
        }
        first
    }
}
