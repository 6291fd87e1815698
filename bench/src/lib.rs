//! Shared by the benchmarks.
