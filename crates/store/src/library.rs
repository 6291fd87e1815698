//! The profiles that come with the program: twelve invented lights, one for each habit of inexpensive ones.

use std::sync::{Arc, OnceLock};

use lanthorn_fixture::Profile;

use crate::profile_file::read_profile;

/// Name of the file and its text.
const FILES: &[(&str, &str)] = &[
    ("small-wash-head.toml", include_str!("../profiles/small-wash-head.toml")),
    ("larger-wash-head.toml", include_str!("../profiles/larger-wash-head.toml")),
    ("small-spot-head.toml", include_str!("../profiles/small-spot-head.toml")),
    ("rgb-par.toml", include_str!("../profiles/rgb-par.toml")),
    ("rgbw-par.toml", include_str!("../profiles/rgbw-par.toml")),
    ("rgbwauv-par.toml", include_str!("../profiles/rgbwauv-par.toml")),
    ("four-head-bar.toml", include_str!("../profiles/four-head-bar.toml")),
    ("pixel-bar.toml", include_str!("../profiles/pixel-bar.toml")),
    ("strobe.toml", include_str!("../profiles/strobe.toml")),
    ("hazer.toml", include_str!("../profiles/hazer.toml")),
    ("dimmer-pack.toml", include_str!("../profiles/dimmer-pack.toml")),
    ("fresnel.toml", include_str!("../profiles/fresnel.toml")),
    ("rgb-par-with-dimmer.toml", include_str!("../profiles/rgb-par-with-dimmer.toml")),
    ("rgba-par.toml", include_str!("../profiles/rgba-par.toml")),
    ("flat-rgbw-par.toml", include_str!("../profiles/flat-rgbw-par.toml")),
    ("white-par.toml", include_str!("../profiles/white-par.toml")),
    ("battery-uplighter.toml", include_str!("../profiles/battery-uplighter.toml")),
    ("outdoor-rgbw-par.toml", include_str!("../profiles/outdoor-rgbw-par.toml")),
    ("pin-spot.toml", include_str!("../profiles/pin-spot.toml")),
    ("tungsten-par.toml", include_str!("../profiles/tungsten-par.toml")),
    ("blacklight-bar.toml", include_str!("../profiles/blacklight-bar.toml")),
    ("sixteen-segment-rgbw-bar.toml", include_str!("../profiles/sixteen-segment-rgbw-bar.toml")),
    ("twenty-four-segment-rgb-bar.toml", include_str!("../profiles/twenty-four-segment-rgb-bar.toml")),
    ("wash-bar.toml", include_str!("../profiles/wash-bar.toml")),
    ("wash-head-with-zoom.toml", include_str!("../profiles/wash-head-with-zoom.toml")),
    ("mini-beam-head.toml", include_str!("../profiles/mini-beam-head.toml")),
    ("medium-spot-head.toml", include_str!("../profiles/medium-spot-head.toml")),
    ("spot-head-with-flags.toml", include_str!("../profiles/spot-head-with-flags.toml")),
    ("mirror-scanner.toml", include_str!("../profiles/mirror-scanner.toml")),
    ("led-profile-spot.toml", include_str!("../profiles/led-profile-spot.toml")),
    ("tungsten-profile-spot.toml", include_str!("../profiles/tungsten-profile-spot.toml")),
    ("follow-spot.toml", include_str!("../profiles/follow-spot.toml")),
    ("gobo-projector.toml", include_str!("../profiles/gobo-projector.toml")),
    ("led-pc-with-zoom.toml", include_str!("../profiles/led-pc-with-zoom.toml")),
    ("white-balance-fresnel.toml", include_str!("../profiles/white-balance-fresnel.toml")),
    ("cyclorama-light.toml", include_str!("../profiles/cyclorama-light.toml")),
    ("house-light.toml", include_str!("../profiles/house-light.toml")),
    ("rgb-flood.toml", include_str!("../profiles/rgb-flood.toml")),
    ("two-lamp-blinder.toml", include_str!("../profiles/two-lamp-blinder.toml")),
    ("four-lamp-led-blinder.toml", include_str!("../profiles/four-lamp-led-blinder.toml")),
    ("rgb-strobe.toml", include_str!("../profiles/rgb-strobe.toml")),
    ("one-channel-dimmer.toml", include_str!("../profiles/one-channel-dimmer.toml")),
    ("six-channel-dimmer.toml", include_str!("../profiles/six-channel-dimmer.toml")),
    ("switch-pack.toml", include_str!("../profiles/switch-pack.toml")),
    ("switched-outlet.toml", include_str!("../profiles/switched-outlet.toml")),
    ("fogger.toml", include_str!("../profiles/fogger.toml")),
    ("small-hazer.toml", include_str!("../profiles/small-hazer.toml")),
    ("bubble-machine.toml", include_str!("../profiles/bubble-machine.toml")),
    ("snow-machine.toml", include_str!("../profiles/snow-machine.toml")),
    ("stage-fan.toml", include_str!("../profiles/stage-fan.toml")),
    ("mirror-ball-motor.toml", include_str!("../profiles/mirror-ball-motor.toml")),
    ("mirror-ball-with-pin-spot.toml", include_str!("../profiles/mirror-ball-with-pin-spot.toml")),
    ("derby-light.toml", include_str!("../profiles/derby-light.toml")),
    ("flower-effect-light.toml", include_str!("../profiles/flower-effect-light.toml")),
];

/// Every shipped profile, read once.
pub fn shipped() -> &'static [Arc<Profile>] {
    static SHIPPED: OnceLock<Vec<Arc<Profile>>> = OnceLock::new();
    // A test reads every file; one that could not be read would be left out here.
    SHIPPED.get_or_init(|| FILES.iter().filter_map(|(_, text)| read_profile(text).0.map(Arc::new)).collect())
}

/// The shipped profile of that name.
pub fn shipped_profile(name: &str) -> Option<Arc<Profile>> {
    shipped().iter().find(|profile| profile.name == name).cloned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile_file::write_profile;

    #[test]
    fn every_file_reads_without_a_problem_and_passes_the_check_of_charts() {
        let mut said = Vec::new();
        for (name, text) in FILES {
            let (profile, problems) = read_profile(text);
            said.extend(problems.iter().map(|problem| problem.in_file(name)));
            for problem in profile.iter().flat_map(lanthorn_fixture::check::check) {
                said.push(format!("{name}: {problem}"));
            }
        }
        assert_eq!(said, Vec::<String>::new());
        assert!(shipped().len() >= 40);
    }

    #[test]
    fn a_written_profile_reads_back_as_the_same() {
        for profile in shipped() {
            let text = write_profile(profile);
            let (read, problems) = read_profile(&text);
            assert_eq!(problems, [], "{text}");
            assert_eq!(read.as_ref(), Some(&**profile));
        }
    }
}
