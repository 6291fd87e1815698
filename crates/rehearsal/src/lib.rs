//! The stand-in rig: takes frames as the real lights would.
