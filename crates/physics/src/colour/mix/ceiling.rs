//! How much light a mix can give in a colour, without solving for its levels.

use super::Mixer;
use crate::colour::{Chromaticity, Xyz};

/// A face this near to darkness, as a part of all the light, bounds the colours and not their light.
const THROUGH_DARKNESS: f64 = 1e-9;

/// The most light of any colour: the luminance of [`Mixer::max_output`] at a small part of its cost, for colours that
/// can be mixed ([`Mixer::reach`]).
///
/// The mixes of some emitters fill a body in XYZ that is the sum of one segment for each of them (a zonotope). Each of
/// its faces is spanned by two emitters, and the most light of a colour is where the ray of that colour leaves it. When
/// all colours lie on one line the body is flat, and each of its edges runs along one emitter.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ceiling {
    faces: Vec<Face>,
}

/// All light `v` with `normal · v = height`.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Face {
    normal: [f64; 3],
    height: f64,
}

impl Ceiling {
    /// Of the emitters of a mixer.
    pub(super) fn new(mixer: &Mixer) -> Self {
        if !mixer.varies() {
            return Self::default();
        }
        let lit: Vec<[f64; 3]> = mixer.xyz.iter().filter(|xyz| xyz.y > 0.0).map(|xyz| xyz.array()).collect();
        let all: f64 = lit.iter().map(|xyz| xyz[1]).sum();
        let flat = (mixer.hull.len() == 2).then(|| {
            let mut ends = mixer.corners().map(|colour| Xyz::from_chromaticity(colour, 1.0).array());
            cross(ends.next().unwrap_or_default(), ends.next().unwrap_or_default())
        });
        let mut faces = Vec::new();
        for (index, first) in lit.iter().enumerate() {
            let others = if flat.is_some() { flat.as_slice() } else { &lit[index + 1..] };
            for second in others {
                let across = cross(*first, *second);
                let size = libm::sqrt(dot(across, across));
                if size <= 0.0 {
                    continue;
                }
                for sign in [1.0, -1.0] {
                    let normal = across.map(|part| sign * part / size);
                    let height = lit.iter().map(|xyz| dot(normal, *xyz).max(0.0)).sum();
                    if height > THROUGH_DARKNESS * all {
                        faces.push(Face { normal, height });
                    }
                }
            }
        }
        Self { faces }
    }

    /// The most light in a colour, in the unit of the emitters; none where that cannot be told (emitters of one colour
    /// alone, or a colour that is none).
    pub fn luminance(&self, colour: Chromaticity) -> Option<f64> {
        let ray = Xyz::from_chromaticity(colour, 1.0).array();
        let leaves = |face: &Face| {
            let towards = dot(face.normal, ray);
            (towards > 0.0).then(|| face.height / towards)
        };
        let most = self.faces.iter().filter_map(leaves).fold(f64::INFINITY, f64::min);
        most.is_finite().then_some(most)
    }
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(p, q)| p * q).sum()
}
