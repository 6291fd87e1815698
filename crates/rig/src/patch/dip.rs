//! A start address as ten DIP switches show it.

use lanthorn_dmx::Slot;

/// Ten switches. Switches 1 to 9 weigh 1, 2, 4 … 256; switch 10 does something else, as the manual says, and is drawn off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dip {
    /// The number that the switches add up to.
    pub number: u16,
    /// On or off, switch 1 first.
    pub on: [bool; 10],
}

/// The switches for a start address. `from_zero`: the light counts its addresses from zero, so that slot 1 is 0 (with many of
/// these, 0 and 1 mean the same). None where nine switches cannot reach it.
pub fn dip(slot: Slot, from_zero: bool) -> Option<Dip> {
    let number = slot.number() - u16::from(from_zero);
    let mut on = [false; 10];
    for (bit, switch) in on.iter_mut().take(9).enumerate() {
        *switch = number & (1 << bit) != 0;
    }
    (number < 512).then_some(Dip { number, on })
}

impl Dip {
    /// The switches that are on, by number.
    pub fn switches_on(&self) -> Vec<u8> {
        (1..=10).zip(self.on).filter(|(_, on)| *on).map(|(switch, _)| switch).collect()
    }

    /// A drawing of three lines: numbers, and a block where each switch stands.
    pub fn text(&self) -> String {
        let row = |name: &str, wanted: bool| {
            let marks: Vec<&str> = self.on.iter().map(|on| if *on == wanted { " █" } else { " ·" }).collect();
            format!("{name}{}", marks.join(" "))
        };
        let numbers: Vec<String> = (1..=10).map(|switch| format!("{switch:>2}")).collect();
        format!("    {}\n{}\n{}", numbers.join(" "), row("on  ", true), row("off ", false))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn switches_are_drawn_where_they_stand() {
        let slot = |number| Slot::new(number).unwrap();
        // 233 → 1, 4, 6, 7, 8 (a maker's manual, name withheld).
        let dip_233 = dip(slot(233), false).unwrap();
        assert_eq!(dip_233.switches_on(), [1, 4, 6, 7, 8]);
        assert_eq!(
            dip_233.text(),
            "     1  2  3  4  5  6  7  8  9 10\non   █  ·  ·  █  ·  █  █  █  ·  ·\noff  ·  █  █  ·  █  ·  ·  ·  █  █"
        );
        assert_eq!(dip(slot(1), true).unwrap().switches_on(), [] as [u8; 0]);
        assert_eq!(dip(slot(512), true).unwrap().number, 511);
        assert_eq!(dip(slot(512), false), None);
    }
}
