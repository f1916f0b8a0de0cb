//! A job made up for looking at the pages: test data, nothing in it was computed.
