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
        assert_eq!(shipped().len(), 12);
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
