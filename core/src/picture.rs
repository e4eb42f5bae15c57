//! picture
