//! `serve`: what it refuses. What the pages say is tested beside them.

use super::*;

#[test]
fn the_pages_are_for_this_machine_only() {
    let ran = run(&["serve", "--demo", "--open-to-network", "--json"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("open-without-sign-in"), "{}", ran.err);
}

#[test]
fn a_book_must_be_named_and_be_there() {
    assert_eq!(run(&["serve"]).status, 2);
    let ran = run(&["serve", "--book", "no-such.book"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("no-such.book"), "{}", ran.err);
}
