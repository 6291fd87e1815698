//! Sheets of rigs built by hand: what is drawn, measured, and written.

#![expect(clippy::unwrap_used, reason = "the helpers of a test fail like the test")]
#![expect(clippy::float_cmp, reason = "sizes of paper are exact figures")]

mod rigs;

use lanthorn_physics::Point;
use lanthorn_physics::units::Metres;
use lanthorn_rig::plan::plan;
use lanthorn_rig::{Rig, Run};
use lanthorn_sheets::drawing::{Drawing, Frame, Part, Shape};
use lanthorn_sheets::font::Fonts;
use lanthorn_sheets::{Grid, Input, Options, Paper, SheetName, csv, elevation, pages, pdf, rig_plan, svgs};
use lanthorn_show::Show;

fn with<T>(rig: &Rig, done: impl FnOnce(&Input<'_>) -> T) -> T {
    let show = Show { name: "A test & more".to_owned(), ..Show::default() };
    let plan = plan(rig);
    done(&Input { show: &show, rig, plan: &plan })
}

fn only(name: SheetName) -> Options {
    Options { only: vec![name], ..Options::default() }
}

/// Every line of text, in the order drawn.
fn texts(pages: &[Drawing]) -> Vec<&str> {
    let shapes = pages.iter().flat_map(|page| &page.shapes);
    shapes
        .filter_map(|shape| match shape {
            Shape::Text { text, .. } => Some(text.as_str()),
            Shape::Path { .. } | Shape::Circle { .. } => None,
        })
        .collect()
}

fn all_inside(pages: &[Drawing]) {
    let fonts = Fonts::new().unwrap();
    for (number, page) in (1..).zip(pages) {
        let paper = Frame::new([0.0, 0.0], page.size);
        for shape in &page.shapes {
            let bounds = shape.bounds(&fonts).unwrap();
            assert!(paper.holds(&bounds), "page {number}: {shape:?} lies at {bounds:?}");
        }
    }
}

#[test]
fn labels_never_overlap_nor_leave_the_plan() {
    for lights in [1, 11, 60, 90] {
        let rig = rigs::crowd(lights);
        for paper in [Paper::A4, Paper::Letter] {
            for large in [false, true] {
                let options = Options { paper, large, ..Options::default() };
                let drawn = with(&rig, |input| rig_plan(input, &options).unwrap());
                for (n, label) in drawn.labels.iter().enumerate() {
                    assert!(drawn.inside.holds(label), "{lights} lights: {label:?}");
                    let over = drawn.labels[..n].iter().find(|other| other.meets(label));
                    assert!(over.is_none(), "{lights} lights, {paper:?}: {label:?} over {over:?}");
                }
                assert!(drawn.unlabelled.is_empty(), "{lights} lights: {:?}", drawn.unlabelled);
                let said = texts(std::slice::from_ref(&drawn.drawing));
                for number in 1..=lights {
                    assert!(said.contains(&number.to_string().as_str()), "light {number} of {lights}");
                }
                let side = with(&rig, |input| elevation(input, &options).unwrap());
                for (n, label) in side.labels.iter().enumerate() {
                    assert!(side.inside.holds(label));
                    assert!(side.labels[..n].iter().all(|other| !other.meets(label)), "elevation, {lights}");
                }
            }
        }
    }
}

#[test]
fn a_metre_of_the_scale_bar_measures_a_metre() {
    let rig = rigs::crowd(11);
    let (plan, side) = with(&rig, |i| {
        (rig_plan(i, &Options::default()).unwrap(), elevation(i, &Options::default()).unwrap())
    });
    for (metre, reduction, drawing) in
        [(plan.metre, plan.reduction, &plan.drawing), (side.metre, side.reduction, &side.drawing)]
    {
        let long = metre[1][0] - metre[0][0];
        assert!((long * f64::from(reduction) - 1000.0).abs() < 1e-6, "1 : {reduction}, {long} mm");
        let is_bar =
            |shape: &Shape| matches!(shape, Shape::Path { lines, .. } if lines[..] == [metre.to_vec()]);
        assert!(drawing.shapes.iter().any(is_bar), "the bar is drawn");
        let words = format!("Scale 1 : {reduction} on A4, printed at 100 %");
        assert!(texts(std::slice::from_ref(drawing)).contains(&words.as_str()));
    }
    // In the SVG as well, whose units are millimetres: the room is ten metres wide between its walls.
    let svg = with(&rig, |input| svgs(input, &Options::default()).unwrap()).remove(0).1;
    assert!(svg.contains("width=\"210mm\"") && svg.contains("viewBox=\"0 0 210 297\""));
    let walls = svg.lines().find(|line| line.contains("stroke-width=\"0.9\"")).unwrap();
    let d = walls.split('"').nth(1).unwrap().trim_end_matches('Z');
    let x: Vec<f64> = d.split(['M', 'L']).filter_map(|at| at.split_once(' ')?.0.parse().ok()).collect();
    let wide = x.iter().copied().fold(f64::MIN, f64::max) - x.iter().copied().fold(f64::MAX, f64::min);
    assert!((wide * f64::from(plan.reduction) / 1000.0 - 10.0).abs() < 0.001, "{wide} mm");
    assert!(svg.contains("A test &amp; more"), "the title is escaped");
}

#[test]
fn the_room_fits_at_a_scale_that_a_ruler_has() {
    let mut rig = rigs::crowd(4);
    for (metres, expected) in [(2.0, 20), (13.0, 75), (40.0, 250), (400.0, 2500)] {
        rig.room.x = [Metres::new(-metres / 2.0), Metres::new(metres / 2.0)];
        rig.room.y = [Metres::new(-metres / 2.0), Metres::new(metres / 2.0)];
        let drawn = with(&rig, |input| rig_plan(input, &Options::default()).unwrap());
        assert_eq!(drawn.reduction, expected, "{metres} m");
    }
}

#[test]
fn nothing_leaves_the_paper_on_any_sheet() {
    for lights in [0, 1, 11, 60] {
        let rig = rigs::crowd(lights);
        for paper in [Paper::A4, Paper::Letter] {
            for large in [false, true] {
                let options = Options { paper, large, ..Options::default() };
                let pages = with(&rig, |input| pages(input, &options).unwrap());
                all_inside(&pages);
                let upright = paper.upright();
                let sizes = pages.iter().all(|page| page.size == upright || page.size == paper.lying());
                assert!(sizes, "every page is {paper:?}");
                let last = format!("page {} of {}", pages.len(), pages.len());
                assert!(texts(&pages).contains(&last.as_str()), "{last}");
            }
        }
    }
}

#[test]
fn whatever_is_wrong_with_a_rig_is_printed_and_nothing_fails() {
    let mut rig = rigs::crowd(12);
    rig.units[0].place = 99;
    rig.units[1].mode = 99;
    rig.units[2].circuit = Some(99);
    rig.units[3].offset = Metres::new(-1e9);
    rig.units[4].offset = Metres::new(1e30);
    rig.units[5].focus = Some(Point::new(1e12, 0.0, 0.0));
    rig.units[6].run = Run::Linked { leader: 77, programme: None };
    rig.units[7].line =
        Some("a line with a name so long that no heading of any table could hold it ".repeat(4));
    rig.room.name = "Ein sehr langer Hallenname, Größe unbekannt 日本 🎭 ".repeat(6);
    rig.room.marks.extend((0..40).map(|n| {
        let at = Point::new(0.0, 1.0, f64::from(n) * 0.001);
        lanthorn_rig::Mark { name: format!("mark number {n} of many in one place"), at }
    }));
    rig.room.x = [Metres::new(3.0), Metres::new(-3.0)];
    rig.room.height = Metres::new(0.0);
    for large in [false, true] {
        let options = Options { large, ..Options::default() };
        let file = with(&rig, |input| pdf(input, &options).unwrap());
        assert!(file.starts_with(b"%PDF-1."));
        all_inside(&with(&rig, |input| pages(input, &options).unwrap()));
        all_inside(&[with(&rig, |input| rig_plan(input, &options).unwrap().drawing)]);
        all_inside(&[with(&rig, |input| elevation(input, &options).unwrap().drawing)]);
    }
}

#[test]
fn large_print_has_no_small_print() {
    let rig = rigs::crowd(11);
    // Drawings and stickers are bound to their size; their sheets are looked at without them.
    let words =
        [SheetName::Patch, SheetName::Power, SheetName::Weight, SheetName::Cables, SheetName::Packing];
    let words = words.into_iter().chain([SheetName::Cues, SheetName::Cards, SheetName::Cautions]);
    for name in words {
        let options = Options { large: true, ..only(name) };
        for page in with(&rig, |input| pages(input, &options).unwrap()) {
            for shape in page.shapes {
                if let Shape::Text { text, with, .. } = shape {
                    let switch = name == SheetName::Cards && text.parse::<u8>().is_ok_and(|n| n <= 10);
                    assert!(with.size >= 14.0 || switch, "{name:?}: “{text}” is set in {} points", with.size);
                }
            }
        }
    }
}

#[test]
fn a_card_says_how_to_set_the_light() {
    let mut rig = rigs::crowd(4);
    rig.units[1].run = Run::Linked { leader: 2, programme: Some("slow colours".to_owned()) };
    rig.units[3].run = Run::Linked { leader: 2, programme: None };
    rig.units[2].run = Run::OnItsOwn { programme: Some("slow colours".to_owned()) };
    let pages = with(&rig, |input| pages(input, &only(SheetName::Cards)).unwrap());
    let said = texts(&pages).join(" ");
    for words in [
        "Mode → 4",
        "1.001–004",
        "linked: leads light 4",
        "Head of the chain",
        "linked: follows light 2",
        "Tail of the chain",
        "When light 2 stops",
        "If this light stops or loses power, light 4 goes dark, freezes or runs by itself",
        "on its own",
        "Auto → 3",
        "no data cable",
        "circuit B, stage, left",
        "2.5 kg without clamp and bond",
        "Its own rated bond on a second point before you let go.",
    ] {
        assert!(said.to_lowercase().contains(&words.to_lowercase()), "“{words}” is not in: {said}");
    }
    // Address 1: switch 1 alone is on (weights 1, 2, 4 …: makers' manuals).
    assert!(said.contains("Switches on: 1; all others of 1–9 off"), "{said}");
}

#[test]
fn labels_lie_on_the_stationers_grid() {
    let rig = rigs::crowd(60);
    for (grid, paper, per_page, size) in [
        (Grid::A4By24, Paper::A4, 24, [70.0, 37.0]),
        (Grid::A4By21, Paper::A4, 21, [63.5, 38.1]),
        (Grid::LetterBy30, Paper::Letter, 30, [2.625 * 25.4, 25.4]),
    ] {
        let frames = grid.frames();
        assert_eq!(frames.len(), per_page);
        let sheet = Frame::new([0.0, 0.0], paper.upright());
        for (n, frame) in frames.iter().enumerate() {
            assert!(sheet.holds(frame), "{grid:?}: {frame:?}");
            assert!((frame.width() - size[0]).abs() < 1e-9 && (frame.height() - size[1]).abs() < 1e-9);
            assert!(frames[..n].iter().all(|other| !other.grown(-1e-9).meets(frame)), "{grid:?}");
        }
        // The grid stands in the middle of its sheet.
        let (first, last) = (frames[0], frames[per_page - 1]);
        assert!((first.from[0] - (sheet.to[0] - last.to[0])).abs() < 0.1, "{grid:?}");
        assert!((first.from[1] - (sheet.to[1] - last.to[1])).abs() < 0.1, "{grid:?}");
        let options = Options { paper, grid: Some(grid), ..only(SheetName::Labels) };
        let pages = with(&rig, |input| pages(input, &options).unwrap());
        assert_eq!(pages.len(), 60_usize.div_ceil(per_page));
        let fonts = Fonts::new().unwrap();
        for shape in pages.iter().flat_map(|page| &page.shapes) {
            let bounds = shape.bounds(&fonts).unwrap();
            assert!(frames.iter().any(|frame| frame.holds(&bounds)), "{grid:?}: {shape:?} crosses a cut");
        }
    }
}

/// Reads comma-separated values as RFC 4180 describes them, by itself.
fn read(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut field) = (Vec::new(), Vec::new(), String::new());
    let mut letters = text.chars().peekable();
    let mut quoted = false;
    while let Some(letter) = letters.next() {
        match (letter, quoted) {
            ('"', true) if letters.peek() == Some(&'"') => field.extend(letters.next()),
            ('"', _) => quoted = !quoted,
            (',', false) => row.push(std::mem::take(&mut field)),
            ('\r', false) => {}
            ('\n', false) => {
                row.push(std::mem::take(&mut field));
                rows.push(std::mem::take(&mut row));
            }
            (letter, _) => field.push(letter),
        }
    }
    assert!(row.is_empty() && field.is_empty() && !quoted, "the last line has its end");
    rows
}

#[test]
fn tables_come_back_from_their_text() {
    let mut rig = rigs::crowd(11);
    let odd = "bar, \"old\"\nnear the door";
    rig.room.places[0].name = odd.to_owned();
    let files = with(&rig, |input| csv(input).unwrap());
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    assert_eq!(names, ["patch.csv", "power.csv", "data.csv", "weight.csv", "cables.csv", "cues.csv"]);
    let tables: Vec<_> = files.iter().map(|(_, text)| read(text)).collect();
    for (table, name) in tables.iter().zip(names) {
        assert!(table.iter().all(|row| row.len() == table[0].len()), "{name} is ragged");
    }
    let plan = plan(&rig);
    let column = |table: &[Vec<String>], name: &str| -> Vec<String> {
        let at = table[0].iter().position(|head| head == name).unwrap();
        table[1..].iter().map(|row| row[at].clone()).collect()
    };
    let patch = &tables[0];
    assert_eq!(patch.len(), 12);
    assert_eq!(column(patch, "address")[10], "41");
    assert!(column(patch, "place").contains(&odd.to_owned()), "quotes, commas and line ends are kept");
    let amps: Vec<f64> = column(&tables[1], "light_amps").iter().map(|text| text.parse().unwrap()).collect();
    for (amps, circuit) in amps.iter().zip(&plan.circuits) {
        assert!((amps - circuit.light_amps.unwrap()).abs() < 0.001);
    }
    assert_eq!(column(&tables[1], "other_amps"), ["", ""], "what is not known is empty, never zero");
    assert_eq!(column(&tables[4], "from")[0], "controller");
    assert_eq!(tables[4].len(), 12, "eleven lights on two lines from the controller take eleven cables");
}

#[test]
fn cautions_stand_where_they_apply() {
    let rig = rigs::crowd(11);
    for (name, heads) in [
        (SheetName::Power, &["Power", "Residual current", "Leads", "Switching on"][..]),
        (SheetName::Weight, &["Weight", "Second securing", "Height"]),
        (SheetName::Data, &["Data"]),
        (SheetName::Plan, &["First of all", "Exits"]),
        (SheetName::Elevation, &["Height", "Eyes"]),
        (SheetName::Cues, &["Strobe", "Exits"]),
        (SheetName::Cautions, &["First of all", "Power", "Weight", "Strobe", "Exits", "Data", "Generator"]),
    ] {
        let pages = with(&rig, |input| pages(input, &only(name)).unwrap());
        let said = texts(&pages);
        for head in heads {
            assert!(said.contains(head), "{name:?} lacks the caution “{head}”");
        }
    }
    let pages = with(&rig, |input| pages(input, &only(SheetName::Cautions)).unwrap());
    let said = texts(&pages);
    for field in
        ["Checked by", "Date and time", "Licensed or competent person", "Emergency stop and isolator"]
    {
        assert!(said.contains(&field), "{field}");
    }
    assert!(said.iter().any(|text| text.starts_with("Nearest exit")));
    for text in &said {
        let text = text.to_lowercase();
        assert!(!text.split_whitespace().any(|word| word.trim_matches('.') == "safe"), "{text}");
    }
}

#[test]
fn titles_and_headings_are_known_as_such() {
    let rig = rigs::crowd(11);
    let pages = with(&rig, |input| pages(input, &Options::default()).unwrap());
    let parts = |wanted: Part| -> Vec<&str> {
        let shapes = pages.iter().flat_map(|page| &page.shapes);
        shapes
            .filter_map(|shape| match shape {
                Shape::Text { text, part, .. } if *part == wanted => Some(text.as_str()),
                _ => None,
            })
            .collect()
    };
    assert_eq!(
        parts(Part::Title),
        [
            "Rig plan",
            "Side elevation",
            "Patch",
            "Power",
            "Data lines",
            "Weight",
            "Cables",
            "Packing list",
            "Cues and run sheet",
            "Setup cards",
            "Cautions"
        ]
    );
    assert!(parts(Part::Heading).contains(&"To look at"));
    assert!(parts(Part::Margin).iter().any(|text| text.starts_with("page 1 of ")));
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let rig = rigs::crowd(11);
    let make = || with(&rig, |input| pdf(input, &Options::default()).unwrap());
    assert_eq!(make(), make());
}
