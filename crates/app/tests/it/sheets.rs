//! The sheets of the built-in shows and of a first show with sixty lights, read back by another library.

use std::collections::BTreeMap;

use lanthorn_rig::plan::plan;
use lanthorn_sheets::drawing::Frame;
use lanthorn_sheets::{Input, Options, Paper, elevation, rig_plan};
use lanthorn_store::starter::{Answers, lights_from_words, room_from_words};
use lanthorn_store::{ShowFile, built_in_show, read_show, starter};

use super::{lanthorn, text};

const SIXTY: &str =
    "16 small spot head, 16 small wash head, 16 RGBW par, 8 eight-segment pixel bar, 3 strobe, 1 hazer";

fn show(name: &str) -> ShowFile {
    read_show(&built_in_show(name).unwrap()).0.unwrap()
}

fn sixty() -> ShowFile {
    let answers = Answers {
        name: "sixty".to_owned(),
        room: room_from_words("12 x 18 x 5, stage end 3 x 0.6").unwrap(),
        room_name: None,
        lights: lights_from_words(SIXTY).unwrap(),
        own: Vec::new(),
    };
    let file = read_show(&starter::begin(&answers).unwrap()).0.unwrap();
    assert_eq!(file.rig.units.len(), 60);
    file
}

/// A PDF's pages as another library reads them: each one's size in points and its words, spaces taken out.
fn read(file: &[u8]) -> Vec<([f64; 2], String)> {
    let document = lopdf::Document::load_mem(file).unwrap();
    let page = |id: lopdf::ObjectId| {
        let page = document.get_dictionary(id).unwrap();
        let corners = page.get(b"MediaBox").unwrap().as_array().unwrap();
        let corner = |n: usize| f64::from(corners[n].as_float().unwrap());
        ([corner(2), corner(3)], words(&document, id))
    };
    document.get_pages().into_values().map(page).collect()
}

/// What a reader's "copy text" gives: each glyph by its font's ToUnicode table (ISO 32000-1, 9.10.3).
fn words(document: &lopdf::Document, page: lopdf::ObjectId) -> String {
    let mut tables = BTreeMap::new();
    for (name, font) in document.get_page_fonts(page).unwrap() {
        let table = font.get(b"ToUnicode").and_then(|table| document.dereference(table)).unwrap().1;
        tables.insert(name, to_unicode(&table.as_stream().unwrap().decompressed_content().unwrap()));
    }
    let content = lopdf::content::Content::decode(&document.get_page_content(page).unwrap()).unwrap();
    let (mut said, mut font) = (String::new(), Vec::new());
    for operation in content.operations {
        let strings = match operation.operator.as_str() {
            "Tf" => {
                font = operation.operands[0].as_name().unwrap().to_vec();
                continue;
            }
            "Tj" => operation.operands,
            "TJ" => operation.operands[0].as_array().unwrap().clone(),
            _ => continue,
        };
        for code in strings.iter().filter_map(|string| string.as_str().ok()).flat_map(|s| s.chunks_exact(2)) {
            let code = u16::from_be_bytes([code[0], code[1]]);
            said.push_str(tables[&font].get(&code).unwrap_or_else(|| panic!("glyph {code} says nothing")));
        }
    }
    said.replace(char::is_whitespace, "")
}

/// The pairs of codes and text of a ToUnicode table, as its `bfchar` lists them.
fn to_unicode(table: &[u8]) -> BTreeMap<u16, String> {
    let table = String::from_utf8_lossy(table);
    assert!(!table.contains("beginbfrange"), "ranges are not read here");
    let mut pairs = BTreeMap::new();
    for list in table.split("beginbfchar").skip(1) {
        for line in list.split("endbfchar").next().unwrap().lines().filter(|line| line.starts_with('<')) {
            let hex: Vec<&str> = line.split(['<', '>', ' ']).filter(|text| !text.is_empty()).collect();
            let units: Vec<u16> = (0..hex[1].len() / 4)
                .map(|n| u16::from_str_radix(&hex[1][4 * n..4 * n + 4], 16).unwrap())
                .collect();
            pairs.insert(u16::from_str_radix(hex[0], 16).unwrap(), String::from_utf16(&units).unwrap());
        }
    }
    pairs
}

#[test]
fn the_demo_is_on_paper_with_every_word_in_reach() {
    let folder = tempfile::tempdir().unwrap();
    for (words, size) in [
        (&["sheets", "demo", "-o", "demo.pdf"][..], [595.276, 841.89]),
        (&["sheets", "demo", "-o", "demo.pdf", "--paper", "letter"], [612.0, 792.0]),
    ] {
        let done = lanthorn(folder.path(), words);
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        let file = std::fs::read(folder.path().join("demo.pdf")).unwrap();
        let pages = read(&file);
        assert!((14..=24).contains(&pages.len()), "{} pages", pages.len());
        for ([w, h], _) in &pages {
            let lies = |a: f64, b: f64| (w - a).abs() < 0.5 && (h - b).abs() < 0.5;
            assert!(lies(size[0], size[1]) || lies(size[1], size[0]), "{w} × {h}");
        }
        let said: String = pages.iter().map(|(_, words)| words.as_str()).collect();
        let demo = show("demo");
        let mut expected: Vec<String> = demo.show.cues.iter().map(|cue| cue.name.clone()).collect();
        expected.extend(demo.show.looks.iter().map(|look| look.name.clone()));
        expected.extend(demo.rig.room.marks.iter().map(|mark| mark.name.clone()));
        expected.extend(demo.rig.room.places.iter().map(|place| place.name.clone()));
        expected.extend(demo.rig.units.iter().map(|unit| unit.profile.name.clone()));
        for titles in ["Rig plan", "Side elevation", "Patch", "Power", "Data lines", "Weight", "Cables"] {
            expected.push(titles.to_owned());
        }
        for words in ["Packing list", "Cues and run sheet", "Setup cards", "Cautions", "Records", "1.151–153"]
        {
            expected.push(words.to_owned());
        }
        expected.push(format!("page {} of {}", pages.len(), pages.len()));
        for words in expected {
            let bare = words.replace(char::is_whitespace, "").to_lowercase();
            assert!(said.to_lowercase().contains(&bare), "“{words}” cannot be read in the file");
        }
        let document = lopdf::Document::load_mem(&file).unwrap();
        let info = document.trailer.get(b"Info").and_then(|info| document.dereference(info)).unwrap().1;
        let title = info.as_dict().unwrap().get(b"Title").unwrap().as_str().unwrap();
        assert!(String::from_utf8_lossy(title).contains("Harvest supper and dance"), "{title:?}");
    }
}

#[test]
fn no_label_lies_over_another_at_eleven_lights_nor_at_sixty() {
    for (file, lights) in [(show("demo"), 11), (show("gym"), 17), (show("barn"), 8), (sixty(), 60)] {
        let plan = plan(&file.rig);
        let input = Input { show: &file.show, rig: &file.rig, plan: &plan };
        for paper in [Paper::A4, Paper::Letter] {
            let options = Options { paper, ..Options::default() };
            let drawn = rig_plan(&input, &options).unwrap();
            let side = elevation(&input, &options).unwrap();
            assert_eq!(file.rig.units.len(), lights);
            assert!(drawn.labels.len() > lights, "every light has a label, and other things too");
            assert!(drawn.unlabelled.is_empty(), "{lights} lights: {:?} go without", drawn.unlabelled);
            for (labels, inside) in [(&drawn.labels, drawn.inside), (&side.labels, side.inside)] {
                let over = |n: usize, label: &Frame| labels[..n].iter().any(|other| other.meets(label));
                for (n, label) in labels.iter().enumerate() {
                    assert!(inside.holds(label) && !over(n, label), "{lights} lights, {paper:?}: {label:?}");
                }
            }
        }
    }
}

#[test]
fn drawings_and_tables_are_written_beside_the_paper() {
    let folder = tempfile::tempdir().unwrap();
    let done = lanthorn(folder.path(), &["sheets", "gym", "--svg", "drawn/here", "--csv", "tables"]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let file = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    for name in ["drawn/here/plan.svg", "drawn/here/elevation.svg"] {
        assert!(file(name).starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""), "{name}");
    }
    assert_eq!(file("tables/patch.csv").lines().count(), 18, "a head and seventeen lights");
    assert!(file("tables/cues.csv").contains("Harvest") || file("tables/cues.csv").contains("Doors"));
}

#[test]
fn what_is_asked_wrongly_is_said_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    for (words, said) in [
        (&["sheets", "demo", "-o", "x.pdf", "--only", "plan,programme"][..], "sheets: plan, elevation"),
        (&["sheets", "demo", "-o", "x.pdf", "--labels", "30"], "sheets of 30 are Letter"),
        (&["sheets", "demo", "-o", "x.pdf", "--paper", "napkin"], "letter"),
        (&["sheets", "demo"], "--out"),
        (&["sheets", "nowhere", "-o", "x.pdf"], "nowhere"),
    ] {
        let done = lanthorn(folder.path(), words);
        assert_eq!(done.status.code(), Some(2), "{words:?}");
        assert!(text(&done.stderr).contains(said), "{words:?}: {}", text(&done.stderr));
        assert!(!folder.path().join("x.pdf").exists());
    }
}

#[test]
fn single_sheets_and_large_print_are_made() {
    let folder = tempfile::tempdir().unwrap();
    for (only, words) in [("power", "Residualcurrent"), ("cues", "Firstdance"), ("labels", "1.161–163")] {
        let done = lanthorn(folder.path(), &["sheets", "demo", "-o", "one.pdf", "--only", only, "--large"]);
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        let pages = read(&std::fs::read(folder.path().join("one.pdf")).unwrap());
        let said: String = pages.iter().map(|(_, words)| words.as_str()).collect();
        assert!(said.contains(words), "{only}: {said}");
        assert!(!said.contains("Sideelevation"), "{only} alone");
    }
}
