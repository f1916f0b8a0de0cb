//! placeholder head
