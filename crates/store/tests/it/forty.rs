use lanthorn_dmx::Address;
use lanthorn_physics::units::Radians;
use lanthorn_store::{read_show, write_show};

const FORTY: &str = include_str!("shows/forty-heads.show.toml");

#[test]
fn forty_heads_find_their_addresses_over_three_universes() {
    let (file, problems) = read_show(FORTY);
    assert_eq!(problems, []);
    let file = file.unwrap();
    let rig = &file.rig;
    assert_eq!(rig.units.len(), 40);
    for (number, universe, slot) in [
        (1, 1, 1),
        (2, 1, 15),
        (24, 1, 323),
        (25, 1, 337),
        (35, 1, 497), // its sixteen channels end at 512
        (36, 2, 1),
        (37, 3, 1),
        (40, 3, 492), // 21 channels, the last at 512
    ] {
        let unit = rig.unit(number).unwrap();
        assert_eq!(unit.address(), Address::new(universe, slot).ok(), "light {number}");
    }
    assert_eq!(rig.unit(38).unwrap().turn, Radians::from_deg(45.0));
    assert_eq!(rig.unit(40).unwrap().turn, Radians::new(1.0));
    assert!((rig.position(rig.unit(2).unwrap()).x() + 7.1).abs() < 1e-12);
    let written = write_show(&file);
    assert_eq!(read_show(&written), (Some(file), Vec::new()));
}
