//! What the plan's deeper sums need from a show: mains, circuits, leads, what holds a bar or a stand.

use lanthorn_physics::units::{Amps, Metres, VoltAmps};
use lanthorn_rig::sums::cable::Size;
use lanthorn_rig::sums::electric::{Curve, Region};
use lanthorn_store::change::{Change, apply};
use lanthorn_store::{read_show, write_show};

const SHOW: &str = r#"
lanthorn = 1

[show]
name = "supply"

[room]
x = [-5, 5]
y = [-8, 4]
height = 5

[[room.place]]
name = "bar"
kind = "bar"
middle = [0, 0, 4]
length = 6
points = [-2, "2 m"]
point_rated = "50 kg"
tube = "48.3 x 4.47 aluminium"

[[room.place]]
name = "stand"
kind = "stand"
middle = [3, 0, 2.4]
legs = 4
leg_radius = "60 cm"
ballast = "10 kg"
outdoors = true

[mains]
region = "us"
receptacle = "15 A"
generator = "6 kVA"

[stock]
data = [2, 5]
power = ["3 m", 10]

[[circuit]]
name = "A"
breaker = "20 A"
at = [4, 0, 0.3]
reach = "25 m"
lead = { length = "50 ft", cable = "12 AWG" }
phase = 2
curve = "C"
rcd = "30 mA"

[[unit]]
numbers = "1-3"
profile = "RGBW par"
mode = "8 channels"
place = "bar"
at = [-1, 0, 1]
circuit = "A"
circuit_fixed = true
lead = "5 m"
case = "pars"

[[unit]]
numbers = "4-5"
profile = "RGBW par"
mode = "8 channels"
place = "stand"
power_from = [3, 4]
lead = [{ length = 10, cable = "1.5 mm2" }, "2 m"]
battery = "180 Wh"
"#;

#[test]
fn every_field_is_read_and_written_back() {
    let (file, problems) = read_show(SHOW);
    assert!(problems.is_empty(), "{problems:?}");
    let file = file.unwrap();
    let rig = &file.rig;
    assert_eq!((rig.mains.region, rig.mains.volts.get()), (Some(Region::Us), 120.0));
    // Said by the show, and by the region.
    assert_eq!((rig.mains.receptacle, rig.mains.rcd), (Some(Amps::new(15.0)), Some(Amps::new(0.005))));
    assert_eq!(rig.mains.generator, Some(VoltAmps::new(6000.0)));
    assert_eq!(rig.stock.power, [3.0, 10.0].map(Metres::new));
    let circuit = &rig.circuits[0];
    assert_eq!((circuit.phase, circuit.curve, circuit.rcd), (Some(2), Some(Curve::C), Some(Amps::new(0.03))));
    let lead = circuit.lead.unwrap();
    assert!((lead.length.get() - 15.24).abs() < 1e-9);
    assert_eq!(lead.cable, Some(Size::Awg(12)));
    let held = rig.room.places[0].held;
    assert_eq!(held.points, Some([-2.0, 2.0].map(Metres::new)));
    assert_eq!(held.tube.unwrap().name, "48.3 x 4.47 aluminium");
    let stand = rig.room.places[1].held;
    assert_eq!((stand.legs.unwrap().count, stand.outdoors), (4, true));
    let feeds: Vec<_> = rig.units.iter().map(|unit| (unit.feed.from, unit.feed.fixed)).collect();
    assert_eq!(feeds, [(None, true), (None, true), (None, true), (Some(3), false), (Some(4), false)]);
    assert_eq!(rig.units[3].feed.lead.unwrap().cable, Some(Size::Mm2(150)));
    assert_eq!((rig.units[0].case.as_deref(), rig.units[3].case.as_deref()), (Some("pars"), None));
    let (again, problems) = read_show(&write_show(&file));
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!(again.unwrap(), file);
}

#[test]
fn what_is_wrong_is_said_with_its_line() {
    for (from, to, said) in [
        ("region = \"us\"", "region = \"moon\"", "this is one of \"us\", \"uk\", \"eu\", \"jp\""),
        ("curve = \"C\"", "curve = \"Z\"", "this is one of \"B\", \"C\", \"D\""),
        ("phase = 2", "phase = 4", "a whole number from 1 to 3"),
        ("cable = \"12 AWG\"", "cable = \"rope\"", "we have no figures for this cable"),
        ("tube = \"48.3 x 4.47 aluminium\"", "tube = \"oak\"", "there is no tube \"oak\""),
        ("points = [-2, \"2 m\"]", "points = [2, -2]", "the first is not below the second"),
        (
            "kind = \"bar\"\nmiddle = [0, 0, 4]",
            "kind = \"bar\"\nlegs = 3\nmiddle = [0, 0, 4]",
            "only a stand has legs",
        ),
        ("power_from = [3, 4]", "power_from = [3, 9]", "there is no light 9"),
        ("power_from = [3, 4]", "power_from = [5, 4]", "leads back to the light itself"),
        ("power_from = [3, 4]", "power_from = [3, 4, 5]", "there are 3 of these for 2 lights"),
        ("data = [2, 5]", "data = 5", "this is a list of lengths"),
        ("generator = \"6 kVA\"", "generator = \"6 kW\"", "a generator's rating needs VA or kVA"),
        ("leg_radius = \"60 cm\"", "leg_radius = \"60 kg\"", "a length needs"),
    ] {
        assert!(SHOW.contains(from), "{from}");
        let text = SHOW.replace(from, to);
        let (file, problems) = read_show(&text);
        assert!(file.is_none(), "{to}");
        let problem = problems.iter().find(|problem| problem.message.contains(said));
        let problem = problem.unwrap_or_else(|| panic!("{to}: {problems:?}"));
        assert!(problem.line > 1 && !problem.remedy.is_empty(), "{problem:?}");
    }
}

#[test]
fn whoever_was_fed_by_a_light_that_goes_finds_another_outlet() {
    // 4 hangs on 3, 5 on 4.
    for (gone, feeds) in [
        (vec![3], vec![(4, None), (5, Some(4))]),
        (vec![4], vec![(3, None), (5, Some(3))]),
        (vec![3, 4], vec![(5, None)]),
        (vec![1], vec![(3, None), (4, Some(3)), (5, Some(4))]),
    ] {
        let changed = apply(SHOW, &Change::LightRemove { lights: gone.clone() }).unwrap();
        let file = read_show(&changed.text).0.unwrap();
        for (number, from) in feeds {
            assert_eq!(file.rig.unit(number).unwrap().feed.from, from, "{number} without {gone:?}");
        }
        // The lead of a light stays its own.
        let lead = file.rig.unit(5).unwrap().feed.lead.unwrap();
        assert_eq!((lead.length.get(), lead.cable), (2.0, None));
    }
}
