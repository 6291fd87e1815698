//! Lights placed, addressed, cabled and powered in a room.
