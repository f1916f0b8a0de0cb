//! What the person or the logger wrote, and what it means: job files, shop files, drawing notes,
//! furnace logs and evidence files.
//!
//! Knows no physics and makes no plan. Parsing never panics, and every complaint has its place.

pub mod decode;
pub mod draft;
pub mod evidence;
pub mod log;
pub mod note;
pub mod print;
pub mod read_shop;
pub mod resolve;
pub mod shop;
pub mod spec;
mod suggest;
mod text;
pub mod units;

pub use decode::decode;
pub use draft::{Draft, parse};
pub use print::print;
pub use read_shop::parse_shop;
pub use resolve::resolve;
