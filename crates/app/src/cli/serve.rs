//! `serve`: the shop's pages on this machine.

use std::path::PathBuf;
use std::sync::Arc;

use casewright_terms::Diag;
use clap::Args;
use serde::Serialize;

use crate::answer::{Answer, Trouble, WorldTrouble};
use crate::web::gate::Reach;
use crate::web::practice;
use crate::web::serve::listen;
use crate::web::site::Site;
use crate::{wire, world};

/// Where the pages are, if nothing is said.
const PORT: u16 = 8417;

/// Options of `serve`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The shop book; `shop new` starts one.
    #[arg(long, value_name = "FILE", required_unless_present = "demo")]
    book: Option<PathBuf>,
    /// Open a practice book of the invented shop Gannet Slip, with four jobs at different stages.
    #[arg(long, conflicts_with = "book")]
    demo: bool,
    /// Port on this machine; 0 takes a free one.
    #[arg(long, default_value_t = PORT)]
    port: u16,
    /// Let other machines in; refused as long as nobody has to sign in. Not encrypted: only in a
    /// network of your own.
    #[arg(long)]
    open_to_network: bool,
}

#[derive(Serialize)]
struct Served {
    address: String,
    book: String,
}

/// Serves until interrupted.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let book = match &options.book {
        Some(book) => book.clone(),
        None => practice::new_book()?,
    };
    let site = Arc::new(Site::open(&book, options.demo)?);
    let reach = if options.open_to_network {
        somebody_signs_in(&site)?;
        Reach::Network
    } else {
        Reach::Here
    };
    let runtime = tokio::runtime::Runtime::new().map_err(failed)?;
    let address = runtime.block_on(async {
        let listening = listen(site.clone(), options.port, reach)
            .await
            .map_err(failed)?;
        let address = format!("http://{}/", listening.address);
        world::complain(&format!(
            "● The pages are at {address}\n  Book: {}\n  Ctrl+C ends.\n",
            book.display()
        ));
        if options.demo {
            let site = site.clone();
            std::thread::spawn(move || practice::fill(&site));
        }
        listening
            .until(async {
                // Where no signal can be waited for, only killing ends it: that is no failure.
                if tokio::signal::ctrl_c().await.is_err() {
                    std::future::pending::<()>().await;
                }
            })
            .await
            .map_err(failed)?;
        Ok::<_, Trouble>(address)
    })?;
    let book = book.display().to_string();
    Ok(Answer::done(
        format!("The pages are closed. The book is {book}\n"),
        wire::json(&Served { address, book }),
    ))
}

/// Pages that others can reach ask who they are.
fn somebody_signs_in(site: &Site) -> Result<(), Trouble> {
    if site.people.any() {
        return Ok(());
    }
    Err(Trouble::input(
        Diag::stop(
            "open-without-sign-in",
            "The pages are asked to be open to other machines, and nobody has to sign in.",
        )
        .why("Anybody in reach could write into the shop book under any name.")
        .accepted(
            "Enter at least one person first (`casewright people add BOOK NAME --role lead`), or leave \
             --open-to-network away.",
        ),
    ))
}

fn failed(source: std::io::Error) -> Trouble {
    WorldTrouble::Serve { source }.into()
}
