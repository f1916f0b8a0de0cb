//! Drawing notes: the words on the drawing, phrase by phrase, and what they were taken to mean.

pub mod reading;

pub use reading::NoteReading;
