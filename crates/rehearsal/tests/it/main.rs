//! The stand-in at the far end of the whole way: wishes in the room, aim, limits, channel values, and back.

mod flashes;
mod hall;
mod lands;
mod light_map;
mod lux;
mod moves;
mod shows;
