//! face
