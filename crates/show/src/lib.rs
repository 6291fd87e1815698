//! Intent over time, in room terms, and the player that answers: what now?
