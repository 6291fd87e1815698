//! Scored tracks at the edge: from a piece that was heard to a score, and a score played.

pub(crate) mod heard;
