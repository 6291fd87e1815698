use super::*;

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_saved_file_loads_and_nothing_is_left_beside_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("hall.show.toml");
    for text in ["first", "the second, longer", ""] {
        save_atomic(&path, text).unwrap();
        assert_eq!(load(&path).unwrap(), text);
    }
    assert_eq!(names(folder.path()), ["hall.show.toml"]);
}

#[test]
fn a_new_file_never_replaces_one() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a");
    save_new(&path, "mine").unwrap();
    assert!(matches!(save_new(&path, "other"), Err(DiskError::Exists { .. })));
    assert_eq!(load(&path).unwrap(), "mine");
}

#[test]
fn what_somebody_else_has_written_meanwhile_is_not_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a");
    assert!(!save_over(&path, "", "new").unwrap(), "a file that is gone stays gone");
    save_atomic(&path, "old").unwrap();
    assert!(save_over(&path, "old", "new").unwrap());
    assert!(!save_over(&path, "old", "newer").unwrap());
    assert_eq!(load(&path).unwrap(), "new");
    assert_eq!(names(folder.path()), ["a"]);
}

#[test]
fn a_failed_save_leaves_the_old_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.show.toml");
    save_atomic(&path, "old").unwrap();
    // A folder with something in it stands where the text is to be written first.
    let in_the_way = beside(&path);
    fs::create_dir_all(in_the_way.join("full")).unwrap();
    let error = save_atomic(&path, "new").unwrap_err().to_string();
    assert!(error.contains("writing failed") && error.ends_with("the file is as it was"), "{error}");
    assert_eq!(load(&path).unwrap(), "old");
}

#[test]
fn a_save_that_cannot_take_its_place_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a");
    fs::create_dir_all(path.join("full")).unwrap();
    assert!(matches!(save_atomic(&path, "new"), Err(DiskError::System { doing: "replacing", .. })));
    assert_eq!(names(folder.path()), ["a"]);
}

#[test]
fn what_a_killed_run_left_is_cleared_away() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a");
    fs::write(beside(&path), "half").unwrap();
    save_atomic(&path, "whole").unwrap();
    assert_eq!(names(folder.path()), ["a"]);
    assert_eq!(load(&path).unwrap(), "whole");
}

#[cfg(unix)]
#[test]
fn permissions_and_links_are_kept() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let (path, link) = (folder.path().join("a"), folder.path().join("link"));
    save_atomic(&path, "1").unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink(&path, &link).unwrap();
    save_atomic(&link, "2").unwrap();
    assert_eq!(load(&path).unwrap(), "2");
    assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
}

#[test]
fn what_cannot_be_read_is_said_exactly() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.show.toml");
    let name = path.display().to_string();
    assert_eq!(
        load(&path).unwrap_err().to_string(),
        format!("{name}: there is no such file; check the name")
    );
    fs::write(&path, b"lanthorn = 1\n\n# \xff\n").unwrap();
    let text = "this is no UTF-8 text; save it as UTF-8, or check that it is the right file";
    assert_eq!(load(&path).unwrap_err().to_string(), format!("{name}:3: {text}"));
    let file = File::create(&path).unwrap();
    file.set_len(MOST_BYTES as u64 + 1).unwrap();
    assert!(matches!(load(&path), Err(DiskError::TooLarge { .. })));
    assert!(matches!(load(folder.path()), Err(DiskError::Folder { .. })));
}

#[test]
fn an_identity_is_made_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("state/lanthorn/cid");
    let cid = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 255];
    assert_eq!(load_or_create_cid(&path, || cid).unwrap(), cid);
    assert_eq!(load_or_create_cid(&path, || [0; 16]).unwrap(), cid);
    assert_eq!(load(&path).unwrap(), "01020304-0506-0708-090a-0b0c0d0e0fff\n");
    fs::write(&path, "short").unwrap();
    assert!(matches!(load_or_create_cid(&path, || cid), Err(DiskError::WrongLength { .. })));
}
