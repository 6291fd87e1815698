//! Quantities: one newtype each, the unit in the name of constructor and getter.
//!
//! A quantity never holds NaN or infinity by way of [`checked`](Metres::checked); the plain constructors are
//! for values that are known to be finite (constants, results of checked arithmetic) and debug-assert it.

use serde::{Deserialize, Serialize};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            /// The unit's symbol, as printed after a number.
            pub const UNIT: &'static str = $unit;

            #[doc = concat!("A value in ", $unit, ". Must be finite.")]
            pub const fn new(value: f64) -> Self {
                debug_assert!(value.is_finite());
                Self(value)
            }

            /// A value from outside: `None` when it is not finite.
            pub fn checked(value: f64) -> Option<Self> {
                value.is_finite().then_some(Self(value))
            }

            #[doc = concat!("The value in ", $unit, ".")]
            pub const fn get(self) -> f64 {
                self.0
            }

            /// The larger of two.
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The smaller of two.
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
        }

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl std::ops::Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl std::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl std::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                Self(items.map(|item| item.0).sum())
            }
        }

        impl std::fmt::Display for $name {
            /// `format!("{x:.1}")` gives the number with one digit and its unit.
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                std::fmt::Display::fmt(&self.0, f)?;
                write!(f, " {}", Self::UNIT)
            }
        }
    };
}

quantity!(/** A length. */ Metres, "m");
quantity!(/** A mass. */ Kilograms, "kg");
quantity!(/** Active electrical power. */ Watts, "W");
quantity!(/** Apparent electrical power: watts divided by power factor. */ VoltAmps, "VA");
quantity!(/** Stored electrical energy. */ WattHours, "Wh");
quantity!(/** Electric current. */ Amps, "A");
quantity!(/** Electric tension. */ Volts, "V");
quantity!(/** Events a second. */ Hertz, "Hz");
quantity!(/** Illuminance on a surface. */ Lux, "lx");
quantity!(/** Luminous intensity in one direction. */ Candela, "cd");
quantity!(/** Luminous flux, all directions together. */ Lumens, "lm");
quantity!(/** Correlated colour temperature. */ Kelvin, "K");
quantity!(/** A-weighted sound pressure level at 1 m. */ Decibels, "dBA");
quantity!(/** A time that a maker states (full travel, hold), not a moment of the show: see [`crate::Span`]. */ Seconds, "s");
quantity!(/** A speed. */ MetresPerSecond, "m/s");
quantity!(/** An angle, radians. Degrees only at the edges. */ Radians, "rad");

impl Radians {
    /// A quarter of a turn.
    pub const QUARTER: Self = Self(std::f64::consts::FRAC_PI_2);
    /// Half a turn.
    pub const HALF: Self = Self(std::f64::consts::PI);
    /// A whole turn.
    pub const TURN: Self = Self(std::f64::consts::TAU);

    /// From degrees.
    pub const fn from_deg(degrees: f64) -> Self {
        Self::new(degrees * (std::f64::consts::PI / 180.0))
    }

    /// In degrees.
    pub const fn deg(self) -> f64 {
        self.0 * (180.0 / std::f64::consts::PI)
    }

    /// The size without the sign.
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nan_stops_at_the_door() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(Metres::checked(bad), None);
        }
        assert_eq!(Metres::checked(2.5), Some(Metres::new(2.5)));
    }

    #[test]
    fn numbers_carry_their_unit() {
        assert_eq!(format!("{:.1}", Amps::new(9.66)), "9.7 A");
        assert_eq!(format!("{}", Kilograms::new(2.0)), "2 kg");
        assert!((Radians::from_deg(180.0).get() - std::f64::consts::PI).abs() < 1e-15);
        assert!((Radians::from_deg(540.0).deg() - 540.0).abs() < 1e-12);
    }
}
