//! Everything at rest: show files and the profile library.
