//! grain
