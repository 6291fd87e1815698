//! The maths of light in a room: quantities, time, space, colour, beams, motor motion.
//!
//! Everything here is a function of its arguments: no clock, disk, network, thread or environment.
//! Trigonometry comes from `libm`, so that the same input gives the same bits on every system.
//!
//! Angles are radians inside and degrees at the edges; lengths are metres; time is [`Instant`] and [`Span`].
//! World frame: right-handed, X to the right as seen from the audience, Y away from the audience, Z up,
//! origin on the floor at the middle of the stage front.

//! How much warm white an RGBW light gives at the cake, three metres below and two to the side:
//!
//! ```
//! use lanthorn_physics::beam::{BeamShape, illuminance};
//! use lanthorn_physics::colour::{self, Chromaticity, Emitter, Mixer};
//! use lanthorn_physics::units::{Lumens, Radians};
//! use lanthorn_physics::{Direction, Point};
//!
//! let emitter = |x, y, luminance| Emitter { chromaticity: Chromaticity::new(x, y), luminance };
//! let mixer = Mixer::new(&[
//!     emitter(0.6915, 0.3084, 300.0),
//!     emitter(0.162, 0.733, 650.0),
//!     emitter(0.1495, 0.0309, 110.0),
//!     emitter(0.3246, 0.3420, 1000.0),
//! ]);
//! let mix = mixer.max_output(colour::parse("warm white")?.chromaticity);
//! assert!(mix.reached);
//!
//! let peak = BeamShape::from_beam(Radians::from_deg(20.0)).peak_from_flux(Lumens::new(mix.luminance));
//! let light = illuminance(peak, Point::new(2.0, 0.0, 4.0), Point::new(0.0, 0.0, 1.0), Direction::UP);
//! assert!((400.0..700.0).contains(&light.get()), "{light}");
//! # Ok::<(), colour::ColourError>(())
//! ```

pub mod beam;
pub mod colour;
pub mod eye;
pub mod motion;
pub mod space;
pub mod time;
pub mod units;

pub use space::{Direction, Point, Rotation};
pub use time::{Instant, Span};
