//! The library: profiles that come with the program, and those of one's own.
//!
//! What a name means depends on who asks. Whoever chooses a light gets the newest: one's own description before the
//! shipped one ([`profile`]). A show that only names a light, and does not carry it, means what was first shipped under
//! that name ([`meant_by_name`]), so that no show changes with the program or with a folder.

mod difference;
mod identity;
mod offers;
mod own;
mod shipped;
mod telling;

use std::sync::{Arc, OnceLock, PoisonError, RwLock};

use lanthorn_fixture::Profile;

use crate::profile_file::read_profile;

pub use difference::{Difference, difference};
pub use identity::{Identity, identity};
pub use offers::{Offer, Source, offer_for, offers};
pub use own::{Added, Own, add, read_folder};
pub use telling::{ChartRow, FactLine, chart, facts, origin_word, sort_word};

/// Every shipped profile as it is now, read once.
pub fn shipped() -> &'static [Arc<Profile>] {
    static SHIPPED: OnceLock<Vec<Arc<Profile>>> = OnceLock::new();
    // A test reads every file; one that could not be read would be left out here.
    let texts = || shipped::FILES.iter().map(|(_, text)| *text);
    SHIPPED.get_or_init(|| texts().filter_map(|text| read_profile(text).0.map(Arc::new)).collect())
}

/// Earlier texts of shipped profiles, the oldest of each name first.
fn earlier() -> &'static [Arc<Profile>] {
    static EARLIER: OnceLock<Vec<Arc<Profile>>> = OnceLock::new();
    let read = |text: &&str| read_profile(text).0.map(Arc::new);
    EARLIER.get_or_init(|| shipped::EARLIER.iter().filter_map(read).collect())
}

/// So many of the shipped ones, the first, are what small rigs have most (from memory): they are shown before one searches.
const USUAL: usize = 12;

/// Whether a kind of light is shown before anybody searches: one's own, and the most usual shipped ones.
pub fn is_usual(name: &str) -> bool {
    named(&own(), name).is_some() || shipped().iter().take(USUAL).any(|profile| profile.name == name)
}

/// The shipped profile of that name, as it is now.
pub fn shipped_profile(name: &str) -> Option<Arc<Profile>> {
    named(shipped(), name)
}

/// One's own profiles, as [`bring_own`] brought them.
static OWN: RwLock<Vec<Arc<Profile>>> = RwLock::new(Vec::new());

/// One's own profiles, for this run of the program. The edge reads them from their folder ([`read_folder`]) at its start,
/// and again when one was added.
pub fn bring_own(profiles: Vec<Arc<Profile>>) {
    *OWN.write().unwrap_or_else(PoisonError::into_inner) = profiles;
}

/// One's own profiles.
pub fn own() -> Vec<Arc<Profile>> {
    OWN.read().unwrap_or_else(PoisonError::into_inner).clone()
}

/// Every kind of light that can be chosen: one's own first, then the shipped ones whose name no own one has.
pub fn all() -> Vec<Arc<Profile>> {
    let mut all = own();
    let more = shipped().iter().filter(|one| named(&all, &one.name).is_none());
    let more: Vec<Arc<Profile>> = more.cloned().collect();
    all.extend(more);
    all
}

/// What is chosen by a name: one's own profile, else the shipped one.
pub fn profile(name: &str) -> Option<Arc<Profile>> {
    named(&own(), name).or_else(|| shipped_profile(name))
}

/// What a show means that names a profile and does not carry it: what was first shipped under that name, else one's own.
pub fn meant_by_name(name: &str) -> Option<Arc<Profile>> {
    named(earlier(), name).or_else(|| shipped_profile(name)).or_else(|| named(&own(), name))
}

/// Everything that a show may mean by a name alone.
pub(crate) fn names_meant() -> Vec<Arc<Profile>> {
    let names = shipped().iter().cloned().chain(own());
    let mut list: Vec<Arc<Profile>> = Vec::new();
    for one in names {
        if named(&list, &one.name).is_none() {
            list.push(meant_by_name(&one.name).unwrap_or(one));
        }
    }
    list
}

fn named(list: &[Arc<Profile>], name: &str) -> Option<Arc<Profile>> {
    list.iter().find(|profile| profile.name == name).cloned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile_file::write_profile;

    #[test]
    fn every_file_reads_without_a_problem_and_passes_the_check_of_charts() {
        let mut said = Vec::new();
        for (name, text) in shipped::FILES {
            let (profile, problems) = read_profile(text);
            said.extend(problems.iter().map(|problem| problem.in_file(name)));
            for problem in profile.iter().flat_map(lanthorn_fixture::check::check) {
                said.push(format!("{name}: {problem}"));
            }
        }
        assert_eq!(said, Vec::<String>::new());
        assert_eq!(shipped().len(), shipped::FILES.len());
        assert!(shipped().len() >= 40);
        assert_eq!(earlier().len(), shipped::EARLIER.len());
    }

    #[test]
    fn no_two_have_one_name() {
        let mut names: Vec<String> = shipped().iter().map(|one| one.name.to_lowercase()).collect();
        names.sort();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
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
