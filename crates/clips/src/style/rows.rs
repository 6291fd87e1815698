//! The table of styles.

use super::grooves::*;
use super::lines::*;
use super::{Band, Feel, Form, Groove, Lead, Line, Meter, Style, Swing};
use crate::kit::Kind;
use crate::tone::Family;

/// A row of the table, its fields in the order of reading.
macro_rules! style {
    ($name:literal, $low:literal, $high:literal, $meter:ident, $swing:expr, $feel:ident, $form:ident, $kit:ident,
     [$($groove:ident),*], [$($bass:ident),*], [$($comp:ident),*], [$($lead:ident),*], $band:ident, $loud:literal) => {
        Style {
            name: $name,
            bpm: ($low, $high),
            meter: $meter,
            swing: $swing,
            feel: Feel::$feel,
            form: Form::$form,
            kit: Kind::$kit,
            grooves: &[$($groove),*] as &[Groove],
            bass: &[$($bass),*] as &[&[Line]],
            comp: &[$($comp),*] as &[&[Line]],
            leads: &[$(Lead::$lead),*],
            band: &$band,
            loud_hats: $loud,
        }
    };
}

const M44: Meter = Meter { beats: 4, steps: 4 };
const M34: Meter = Meter { beats: 3, steps: 4 };
const M24: Meter = Meter { beats: 2, steps: 4 };
/// 12/8, and swung fours.
const M12: Meter = Meter { beats: 4, steps: 3 };
/// 9/8, and swung threes.
const M9: Meter = Meter { beats: 3, steps: 3 };
/// 6/8: two beats.
const M6: Meter = Meter { beats: 2, steps: 3 };
const M54: Meter = Meter { beats: 5, steps: 4 };
/// 7/8: seven beats, grouped 2+2+3.
const M78: Meter = Meter { beats: 7, steps: 2 };

static SYNTH_BAND: Band = Band {
    bass: &[Family::SynthBass],
    comp: &[Family::Synth, Family::Pad],
    lead: &[Family::Synth, Family::Vocal, Family::Bell],
    pad: &[Family::Pad, Family::Strings],
    jazz: 0.0,
    pump: 0.3,
};
static CLUB_BAND: Band = Band {
    bass: &[Family::SynthBass, Family::SynthBass, Family::Bass],
    comp: &[Family::Synth, Family::Keys, Family::Organ, Family::Brass],
    lead: &[Family::Synth, Family::Vocal, Family::Bell, Family::Keys],
    pad: &[Family::Pad, Family::Strings, Family::Choir],
    jazz: 0.4,
    pump: 0.7,
};
static HEAVY_BAND: Band = Band {
    bass: &[Family::SynthBass],
    comp: &[Family::Synth, Family::Keys, Family::Organ],
    lead: &[Family::Synth, Family::Vocal, Family::Reed],
    pad: &[Family::Pad, Family::Strings],
    jazz: 0.3,
    pump: 0.4,
};
static URBAN_BAND: Band = Band {
    bass: &[Family::SynthBass, Family::Bass],
    comp: &[Family::Keys, Family::Guitar, Family::Strings, Family::Bell],
    lead: &[Family::Vocal, Family::Keys, Family::Bell, Family::Reed],
    pad: &[Family::Pad, Family::Choir, Family::Strings],
    jazz: 0.6,
    pump: 0.25,
};
static ISLAND_BAND: Band = Band {
    bass: &[Family::Bass, Family::SynthBass],
    comp: &[Family::Guitar, Family::Organ, Family::Keys],
    lead: &[Family::Brass, Family::Vocal, Family::Squeeze, Family::Reed],
    pad: &[Family::Organ, Family::Pad],
    jazz: 0.1,
    pump: 0.0,
};
static ROCK_BAND: Band = Band {
    bass: &[Family::Bass],
    comp: &[Family::Drive, Family::Guitar, Family::Drive, Family::Organ],
    lead: &[Family::Vocal, Family::Drive, Family::Guitar, Family::Reed],
    pad: &[Family::Organ, Family::Strings],
    jazz: 0.1,
    pump: 0.0,
};
static METAL_BAND: Band = Band {
    bass: &[Family::Bass],
    comp: &[Family::Drive],
    lead: &[Family::Drive, Family::Vocal],
    pad: &[Family::Choir, Family::Strings],
    jazz: 0.0,
    pump: 0.0,
};
static POP_BAND: Band = Band {
    bass: &[Family::Bass, Family::SynthBass],
    comp: &[Family::Guitar, Family::Keys, Family::Organ],
    lead: &[Family::Vocal, Family::Vocal, Family::Guitar, Family::Synth],
    pad: &[Family::Strings, Family::Pad, Family::Choir],
    jazz: 0.2,
    pump: 0.15,
};
static SOUL_BAND: Band = Band {
    bass: &[Family::Bass],
    comp: &[Family::Guitar, Family::Keys, Family::Organ, Family::Brass],
    lead: &[Family::Vocal, Family::Brass, Family::Reed],
    pad: &[Family::Strings, Family::Organ],
    jazz: 0.7,
    pump: 0.0,
};
static JAZZ_BAND: Band = Band {
    bass: &[Family::Bass],
    comp: &[Family::Keys, Family::Guitar],
    lead: &[Family::Reed, Family::Brass, Family::Keys, Family::Guitar],
    pad: &[Family::Strings],
    jazz: 1.0,
    pump: 0.0,
};
static BRASS_BAND: Band = Band {
    bass: &[Family::Brass, Family::Bass],
    comp: &[Family::Brass, Family::Keys],
    lead: &[Family::Brass, Family::Reed],
    pad: &[Family::Strings, Family::Brass],
    jazz: 0.5,
    pump: 0.0,
};
static LATIN_BAND: Band = Band {
    bass: &[Family::Bass],
    comp: &[Family::Keys, Family::Guitar, Family::Brass],
    lead: &[Family::Brass, Family::Vocal, Family::Reed, Family::Guitar],
    pad: &[Family::Strings],
    jazz: 0.5,
    pump: 0.0,
};
static SALON_BAND: Band = Band {
    bass: &[Family::Bass],
    comp: &[Family::Keys, Family::Squeeze, Family::Strings, Family::Guitar],
    lead: &[Family::Reed, Family::Squeeze, Family::Strings, Family::Keys],
    pad: &[Family::Strings],
    jazz: 0.2,
    pump: 0.0,
};
static FOLK_BAND: Band = Band {
    bass: &[Family::Bass],
    comp: &[Family::Guitar, Family::Squeeze, Family::Guitar],
    lead: &[Family::Reed, Family::Guitar, Family::Squeeze, Family::Vocal],
    pad: &[Family::Strings],
    jazz: 0.0,
    pump: 0.0,
};
static PIANO_BAND: Band = Band {
    bass: &[Family::Keys],
    comp: &[Family::Keys],
    lead: &[Family::Keys],
    pad: &[Family::Strings],
    jazz: 0.3,
    pump: 0.0,
};
static CHOIR_BAND: Band = Band {
    bass: &[Family::Choir, Family::Strings, Family::Organ],
    comp: &[Family::Choir, Family::Strings, Family::Organ],
    lead: &[Family::Choir, Family::Strings, Family::Vocal],
    pad: &[Family::Choir],
    jazz: 0.1,
    pump: 0.0,
};
static BELLS_BAND: Band = Band {
    bass: &[Family::Bell],
    comp: &[Family::Bell],
    lead: &[Family::Bell],
    pad: &[Family::Choir],
    jazz: 0.1,
    pump: 0.0,
};
static GAME_BAND: Band = Band {
    bass: &[Family::Bass, Family::SynthBass, Family::Chip],
    comp: &[Family::Keys, Family::Guitar, Family::Strings, Family::Organ],
    lead: &[Family::Reed, Family::Brass, Family::Bell, Family::Synth, Family::Squeeze],
    pad: &[Family::Strings, Family::Choir],
    jazz: 0.2,
    pump: 0.0,
};
static CHIP_BAND: Band = Band {
    bass: &[Family::Chip],
    comp: &[Family::Chip],
    lead: &[Family::Chip],
    pad: &[Family::Chip],
    jazz: 0.0,
    pump: 0.0,
};

/// All styles of music. Beats a minute are those of the beats told, so 7/8 counts eighths and 6/8 dotted quarters.
#[rustfmt::skip]
pub(crate) static ROWS: &[Style] = &[
    style!("plain four", 120.0, 128.0, M44, Swing::No, Machine, Groove, Plain, [PLAIN_FOUR], [B_EIGHTHS], [C_HELD], [Riff], SYNTH_BAND, false),
    style!("plain rock", 100.0, 112.0, M44, Swing::No, Machine, Groove, Plain, [PLAIN_ROCK], [B_ROOTS], [C_QUARTERS], [Riff], ROCK_BAND, false),
    style!("plain waltz", 140.0, 156.0, M34, Swing::No, Machine, Groove, Plain, [PLAIN_THREE], [B_WALTZ], [C_WALTZ], [Tune], SALON_BAND, false),
    style!("house", 118.0, 128.0, M44, Swing::No, Machine, Dance, Electric, [HOUSE, FOUR_BARE], [B_OFF, B_SYNC, B_OCTAVES], [C_STABS, C_OFF], [Riff, Vocal], CLUB_BAND, false),
    style!("deep house", 116.0, 124.0, M44, Swing::Sixteenths(51.0, 60.0), Machine, Dance, Electric, [HOUSE, FOUR_BARE, AFRO], [B_SYNC, B_TRESILLO], [C_STABS, C_HELD], [Vocal, Riff], CLUB_BAND, false),
    style!("jackin house", 122.0, 130.0, M44, Swing::Sixteenths(54.0, 64.0), Machine, Dance, Electric, [HOUSE, DISCO], [B_OFF, B_SYNC], [C_STABS], [Riff], CLUB_BAND, false),
    style!("techno", 124.0, 142.0, M44, Swing::No, Machine, Dance, Electric, [TECHNO, FOUR_BARE], [B_OFF, B_SIXTEENTHS], [C_STABS, C_HELD], [Riff, Arp], CLUB_BAND, false),
    style!("hard dance", 145.0, 180.0, M44, Swing::No, Machine, Dance, Electric, [HARD, TRANCE], [B_OFF, B_SIXTEENTHS], [C_OFF, C_STABS], [Riff, Arp], CLUB_BAND, false),
    style!("trance", 130.0, 142.0, M44, Swing::No, Machine, Dance, Electric, [TRANCE, HARD], [B_OFF, B_SIXTEENTHS], [C_ARP16, C_HELD], [Arp, Tune], CLUB_BAND, false),
    style!("psychedelic trance", 140.0, 150.0, M44, Swing::No, Machine, Dance, Electric, [TRANCE, TECHNO], [B_OFF], [C_HELD], [Arp, Riff], CLUB_BAND, false),
    style!("disco", 108.0, 128.0, M44, Swing::No, Tight, Song, Acoustic, [DISCO], [B_OCTAVES, B_SYNC], [C_FUNK, C_STABS], [Tune, Vocal], SOUL_BAND, false),
    style!("nu disco", 110.0, 122.0, M44, Swing::No, Machine, Dance, Electric, [DISCO, HOUSE], [B_OCTAVES, B_FUNK], [C_FUNK, C_STABS], [Vocal, Riff], CLUB_BAND, false),
    style!("dubstep", 136.0, 144.0, M44, Swing::No, Machine, Dance, Electric, [DUBSTEP, HALF], [B_WOBBLE, B_SUB], [C_HELD, C_STABS], [Riff, Vocal], HEAVY_BAND, false),
    style!("half time", 130.0, 150.0, M44, Swing::No, Machine, Dance, Electric, [HALF, DUBSTEP], [B_SUB, B_WOBBLE], [C_HELD], [Tune, Riff], HEAVY_BAND, false),
    style!("two step garage", 128.0, 136.0, M44, Swing::Sixteenths(54.0, 66.0), Machine, Dance, Electric, [TWO_STEP, TWO_STEP_B], [B_SYNC, B_SUB], [C_STABS, C_OFF], [Vocal, Riff], HEAVY_BAND, true),
    style!("speed garage", 130.0, 138.0, M44, Swing::Sixteenths(52.0, 60.0), Machine, Dance, Electric, [HOUSE, TWO_STEP_B], [B_SYNC, B_WOBBLE], [C_STABS], [Vocal], HEAVY_BAND, true),
    style!("drum and bass", 165.0, 180.0, M44, Swing::No, Machine, Dance, Electric, [DNB, DNB_BREAK], [B_SUB, B_WOBBLE, B_SYNC], [C_HELD, C_STABS], [Riff, Vocal], HEAVY_BAND, false),
    style!("jungle", 158.0, 172.0, M44, Swing::Sixteenths(50.0, 56.0), Machine, Dance, Electric, [DNB_BREAK, BREAK], [B_SUB, B_REGGAE], [C_HELD, C_SKANK], [Riff, Vocal], HEAVY_BAND, false),
    style!("breakbeat", 120.0, 138.0, M44, Swing::No, Machine, Dance, Electric, [BREAK, BREAK_B, BIG_BEAT], [B_SYNC, B_EIGHTHS], [C_STABS], [Riff], HEAVY_BAND, false),
    style!("big beat", 100.0, 126.0, M44, Swing::No, Machine, Dance, Acoustic, [BIG_BEAT, BREAK], [B_EIGHTHS, B_FUNK], [C_POWER, C_STABS], [Riff], HEAVY_BAND, false),
    style!("hip hop", 80.0, 100.0, M44, Swing::Sixteenths(52.0, 66.0), Tight, Groove, Electric, [BOOM_BAP, BREAK_B], [B_SYNC, B_SUB], [C_STABS, C_HELD], [Riff, Vocal], URBAN_BAND, false),
    style!("trap", 130.0, 160.0, M44, Swing::No, Machine, Dance, Electric, [TRAP, HALF], [B_SUB], [C_HELD, C_PICK], [Riff, Vocal], URBAN_BAND, false),
    style!("slow jam", 60.0, 80.0, M44, Swing::Sixteenths(50.0, 62.0), Tight, Song, Electric, [LATE_NIGHT, BOOM_BAP], [B_SYNC, B_SUB], [C_HELD, C_STABS], [Vocal], URBAN_BAND, false),
    style!("dembow", 86.0, 104.0, M44, Swing::No, Machine, Dance, Electric, [DEMBOW], [B_TRESILLO, B_SUB], [C_STABS, C_PICK], [Vocal, Riff], URBAN_BAND, false),
    style!("reggae", 60.0, 90.0, M44, Swing::Eighths(50.0, 62.0), Live, Groove, Acoustic, [ONE_DROP, ROCKERS], [B_REGGAE], [C_SKANK], [Vocal, Tune], ISLAND_BAND, false),
    style!("dub", 64.0, 84.0, M44, Swing::Eighths(50.0, 60.0), Live, Groove, Acoustic, [ONE_DROP, STEPPERS], [B_REGGAE, B_SUB], [C_SKANK], [Riff], ISLAND_BAND, false),
    style!("steppers", 70.0, 80.0, M44, Swing::No, Tight, Groove, Electric, [STEPPERS], [B_REGGAE], [C_SKANK], [Vocal, Riff], ISLAND_BAND, false),
    style!("ska", 120.0, 180.0, M44, Swing::No, Live, Song, Acoustic, [SKA], [B_WALK4, B_EIGHTHS], [C_SKANK], [Tune, Riff], ISLAND_BAND, false),
    style!("rock", 96.0, 150.0, M44, Swing::No, Live, Song, Acoustic, [ROCK, FOUR_ROCK, ROCK_RIDE], [B_EIGHTHS, B_ROOTS], [C_POWER, C_EIGHTHS], [Vocal, Tune], ROCK_BAND, false),
    style!("slow rock", 60.0, 86.0, M44, Swing::No, Live, Song, Acoustic, [ROCK, BALLAD], [B_ROOTS, B_EIGHTHS], [C_POWER, C_STRUM], [Vocal], ROCK_BAND, false),
    style!("pop", 90.0, 130.0, M44, Swing::No, Tight, Song, Acoustic, [ROCK, SYNTH_POP, COUNTRY], [B_EIGHTHS, B_ROOTS], [C_EIGHTHS, C_STRUM], [Vocal, Tune], POP_BAND, false),
    style!("stomp pop", 76.0, 110.0, M44, Swing::No, Tight, Song, Acoustic, [STOMP, FOUR_ROCK], [B_ROOTS], [C_STRUM, C_QUARTERS], [Vocal], POP_BAND, false),
    style!("punk", 160.0, 220.0, M44, Swing::No, Live, Song, Acoustic, [PUNK, SKATE], [B_EIGHTHS], [C_POWER], [Vocal], ROCK_BAND, false),
    style!("metal", 100.0, 200.0, M44, Swing::No, Tight, Song, Acoustic, [METAL, METAL_B], [B_SIXTEENTHS, B_EIGHTHS], [C_POWER], [Riff, Vocal], METAL_BAND, false),
    style!("backbeat soul", 100.0, 130.0, M44, Swing::No, Live, Song, Acoustic, [FOUR_SNARE], [B_SYNC, B_FUNK], [C_STABS, C_QUARTERS], [Vocal, Tune], SOUL_BAND, false),
    style!("soul", 66.0, 110.0, M44, Swing::Sixteenths(50.0, 58.0), Live, Song, Acoustic, [SOUL], [B_SYNC, B_FUNK], [C_STABS, C_HELD], [Vocal], SOUL_BAND, false),
    style!("funk", 88.0, 116.0, M44, Swing::No, Live, Groove, Acoustic, [FUNK, FUNK_B], [B_FUNK, B_SIXTEENTHS], [C_FUNK], [Riff, Vocal], SOUL_BAND, false),
    style!("swung funk", 84.0, 108.0, M44, Swing::Sixteenths(55.0, 66.0), Live, Groove, Acoustic, [FUNK, SOUL], [B_FUNK, B_SYNC], [C_FUNK, C_STABS], [Riff], SOUL_BAND, false),
    style!("shuffle", 90.0, 140.0, M12, Swing::No, Live, Song, Acoustic, [SHUFFLE], [B_WALK3, B_TWELVE], [C_TWELVE, C_CHARLESTON], [Tune, Vocal], ROCK_BAND, false),
    style!("blues", 50.0, 76.0, M12, Swing::No, Live, Song, Acoustic, [TWELVE, SHUFFLE], [B_TWELVE, B_WALK3], [C_TWELVE], [Vocal, Tune], ROCK_BAND, false),
    style!("slow doo-wop", 56.0, 76.0, M12, Swing::No, Live, Song, Acoustic, [TWELVE], [B_TWELVE], [C_TWELVE], [Vocal], POP_BAND, false),
    style!("jazz swing", 110.0, 220.0, M12, Swing::No, Live, Groove, Acoustic, [JAZZ], [B_WALK3], [C_CHARLESTON], [Tune, Run], JAZZ_BAND, false),
    style!("slow swing", 62.0, 110.0, M12, Swing::No, Live, Groove, Brushes, [JAZZ_BRUSH, JAZZ], [B_WALK3], [C_CHARLESTON], [Tune, Vocal], JAZZ_BAND, false),
    style!("fast bop", 200.0, 238.0, M12, Swing::No, Live, Groove, Acoustic, [JAZZ], [B_WALK3], [C_CHARLESTON], [Run, Tune], JAZZ_BAND, false),
    style!("jazz waltz", 110.0, 180.0, M9, Swing::No, Live, Groove, Brushes, [JAZZ_WALTZ], [B_JAZZ_WALTZ], [C_WALTZ3], [Tune], JAZZ_BAND, false),
    style!("big band", 120.0, 190.0, M12, Swing::No, Live, Song, Acoustic, [JAZZ, SHUFFLE], [B_WALK3], [C_CHARLESTON], [Riff, Tune], BRASS_BAND, false),
    style!("bossa", 64.0, 84.0, M44, Swing::No, Live, Groove, Acoustic, [BOSSA], [B_BOSSA], [C_BOSSA], [Tune, Vocal], JAZZ_BAND, false),
    style!("samba", 88.0, 118.0, M44, Swing::Sixteenths(50.0, 54.0), Live, Groove, Acoustic, [SAMBA], [B_BOSSA, B_TRESILLO], [C_BOSSA, C_FUNK], [Vocal, Tune], LATIN_BAND, false),
    style!("salsa two three", 160.0, 200.0, M44, Swing::No, Live, Groove, Acoustic, [SALSA_23], [B_TUMBAO], [C_MONTUNO], [Tune, Vocal], LATIN_BAND, false),
    style!("salsa three two", 160.0, 200.0, M44, Swing::No, Live, Groove, Acoustic, [SALSA_32], [B_TUMBAO], [C_MONTUNO], [Vocal, Riff], LATIN_BAND, false),
    style!("rumba", 96.0, 150.0, M44, Swing::No, Live, Groove, Acoustic, [RUMBA], [B_TRESILLO, B_TUMBAO], [C_MONTUNO], [Vocal], LATIN_BAND, false),
    style!("songo", 90.0, 120.0, M44, Swing::No, Live, Groove, Acoustic, [SONGO], [B_TUMBAO, B_TRESILLO], [C_MONTUNO], [Tune, Riff], LATIN_BAND, false),
    style!("cumbia", 84.0, 110.0, M44, Swing::No, Live, Groove, Acoustic, [CUMBIA], [B_TWO, B_TRESILLO], [C_SKANK], [Tune], LATIN_BAND, false),
    style!("afro groove", 100.0, 126.0, M44, Swing::No, Tight, Groove, Acoustic, [AFRO, TRIBAL], [B_SYNC, B_TRESILLO], [C_FUNK, C_PICK], [Riff, Vocal], LATIN_BAND, false),
    style!("tango", 56.0, 68.0, M44, Swing::No, Live, Tune, Acoustic, [TANGO], [B_EIGHTHS, B_TRESILLO], [C_TANGO], [Tune], SALON_BAND, false),
    style!("tango duo", 110.0, 130.0, M44, Swing::No, Free, Tune, Acoustic, [], [B_ROOTS], [C_TANGO, C_QUARTERS], [Tune], SALON_BAND, false),
    style!("polka", 108.0, 132.0, M24, Swing::No, Live, Tune, Acoustic, [POLKA], [B_QUICK_TWO], [C_OOM], [Tune, Run], FOLK_BAND, false),
    style!("march", 108.0, 124.0, M24, Swing::No, Live, Tune, March, [MARCH], [B_QUICK_TWO], [C_OOM], [Tune], BRASS_BAND, false),
    style!("slow march", 60.0, 92.0, M44, Swing::No, Live, Tune, March, [MARCH], [B_TWO], [C_QUARTERS], [Tune], BRASS_BAND, false),
    style!("waltz", 84.0, 130.0, M34, Swing::No, Live, Tune, Acoustic, [WALTZ, WALTZ_B], [B_WALTZ], [C_WALTZ], [Tune], SALON_BAND, false),
    style!("fast waltz", 150.0, 200.0, M34, Swing::No, Live, Tune, Acoustic, [WALTZ], [B_WALTZ], [C_WALTZ], [Tune], SALON_BAND, false),
    style!("parlour waltz", 90.0, 180.0, M34, Swing::No, Free, Tune, Acoustic, [], [B_WALTZ], [C_WALTZ], [Tune], PIANO_BAND, false),
    style!("ballad in six", 44.0, 70.0, M6, Swing::No, Live, Song, Acoustic, [SIX_EIGHT, SIX_EIGHT_B], [B_SIX], [C_SIX], [Vocal, Tune], POP_BAND, false),
    style!("six eight rock", 60.0, 90.0, M6, Swing::No, Live, Song, Acoustic, [SIX_EIGHT, SIX_EIGHT_B], [B_SIX], [C_SIX], [Vocal], ROCK_BAND, false),
    style!("jig", 104.0, 130.0, M6, Swing::No, Live, Tune, Acoustic, [JIG], [B_SIX], [C_SIX], [Run], FOLK_BAND, false),
    style!("jig without drums", 100.0, 128.0, M6, Swing::No, Live, Tune, Acoustic, [], [B_SIX], [C_SIX], [Run], FOLK_BAND, false),
    style!("triplet march", 76.0, 110.0, M12, Swing::No, Tight, Tune, March, [TRIPLET_MARCH], [B_WALK3, B_TWELVE], [C_TWELVE], [Tune], BRASS_BAND, false),
    style!("reel", 96.0, 122.0, M44, Swing::Sixteenths(50.0, 56.0), Live, Tune, Acoustic, [REEL], [B_QUICK_TWO], [C_STRUM, C_OOM], [Run], FOLK_BAND, false),
    style!("rag", 76.0, 110.0, M44, Swing::No, Free, Tune, Acoustic, [], [B_NONE], [C_STRIDE, C_OOM], [Tune, Run], PIANO_BAND, false),
    style!("stride piano", 120.0, 180.0, M44, Swing::Eighths(54.0, 66.0), Free, Tune, Acoustic, [], [B_NONE], [C_STRIDE], [Tune], PIANO_BAND, false),
    style!("country train", 96.0, 124.0, M44, Swing::No, Live, Song, Acoustic, [TRAIN], [B_TWO], [C_STRUM, C_OOM], [Vocal, Tune], FOLK_BAND, false),
    style!("country", 80.0, 130.0, M44, Swing::Eighths(50.0, 60.0), Live, Song, Acoustic, [COUNTRY, TRAIN], [B_TWO, B_ROOTS], [C_STRUM, C_PICK], [Vocal], FOLK_BAND, false),
    style!("bluegrass", 110.0, 150.0, M24, Swing::No, Live, Tune, Acoustic, [], [B_QUICK_TWO], [C_OOM], [Run], FOLK_BAND, false),
    style!("folk strum", 70.0, 130.0, M44, Swing::Eighths(50.0, 56.0), Free, Song, Acoustic, [], [B_NONE], [C_STRUM], [Vocal, Tune], FOLK_BAND, false),
    style!("folk picking", 66.0, 110.0, M44, Swing::No, Free, Song, Acoustic, [], [B_NONE], [C_PICK], [Vocal], FOLK_BAND, false),
    style!("hand drums", 80.0, 130.0, M44, Swing::No, Live, Groove, Acoustic, [HAND, TRIBAL], [B_TRESILLO, B_ROOTS], [C_STRUM, C_PICK], [Tune, Vocal], FOLK_BAND, false),
    style!("solo piano", 56.0, 120.0, M44, Swing::No, Free, Tune, Acoustic, [], [B_ROOTS], [C_ALBERTI, C_PICK, C_QUARTERS], [Tune], PIANO_BAND, false),
    style!("slow piano", 40.0, 60.0, M44, Swing::No, Free, Tune, Acoustic, [], [B_ROOTS], [C_ALBERTI, C_QUARTERS], [Tune], PIANO_BAND, false),
    style!("choir", 56.0, 96.0, M44, Swing::No, Free, Tune, Acoustic, [], [B_ROOTS], [C_QUARTERS], [Vocal], CHOIR_BAND, false),
    style!("strings", 70.0, 140.0, M44, Swing::No, Live, Tune, Acoustic, [], [B_EIGHTHS, B_ROOTS], [C_EIGHTHS, C_QUARTERS], [Tune], CHOIR_BAND, false),
    style!("organ hymn", 60.0, 100.0, M34, Swing::No, Free, Tune, Acoustic, [], [B_WALTZ], [C_QUARTERS], [Tune], CHOIR_BAND, false),
    style!("music box", 80.0, 160.0, M34, Swing::No, Tight, Tune, Acoustic, [], [B_WALTZ], [C_WALTZ], [Tune, Run], BELLS_BAND, false),
    style!("game tune", 90.0, 170.0, M44, Swing::No, Tight, Tune, Acoustic, [ROCK, CHIP, COUNTRY], [B_EIGHTHS, B_OCTAVES, B_SYNC], [C_ALBERTI, C_STABS], [Tune, Run], GAME_BAND, false),
    style!("game adventure", 100.0, 150.0, M44, Swing::No, Tight, Tune, March, [MARCH, ROCK], [B_EIGHTHS, B_ROOTS], [C_QUARTERS, C_ARP16], [Tune], GAME_BAND, false),
    style!("chip tune", 120.0, 180.0, M44, Swing::No, Machine, Tune, Chip, [CHIP, POLKA], [B_OCTAVES, B_EIGHTHS, B_SIXTEENTHS], [C_ARP16], [Tune, Run], CHIP_BAND, false),
    style!("ambient techno", 90.0, 120.0, M44, Swing::No, Machine, Dance, Electric, [AMBIENT, FOUR_BARE], [B_SUB, B_SYNC], [C_HELD, C_PICK], [Arp, Riff], CLUB_BAND, false),
    style!("synth pop", 100.0, 140.0, M44, Swing::No, Machine, Song, Electric, [SYNTH_POP], [B_EIGHTHS, B_OCTAVES], [C_STABS, C_ARP16], [Vocal, Tune], SYNTH_BAND, false),
    style!("new wave", 120.0, 160.0, M44, Swing::No, Tight, Song, Electric, [NEW_WAVE, ROCK], [B_EIGHTHS], [C_EIGHTHS, C_STABS], [Vocal, Riff], SYNTH_BAND, false),
    style!("electro", 110.0, 132.0, M44, Swing::No, Machine, Groove, Electric, [BREAK_B, BREAK], [B_OCTAVES, B_SYNC], [C_STABS], [Riff, Arp], SYNTH_BAND, false),
    style!("five four", 90.0, 170.0, M54, Swing::No, Live, Groove, Acoustic, [FIVE, FIVE_B], [B_FIVE], [C_FIVE], [Tune, Riff], JAZZ_BAND, false),
    style!("seven eight", 180.0, 236.0, M78, Swing::No, Live, Groove, Acoustic, [SEVEN, SEVEN_B], [B_SEVEN], [C_SEVEN], [Tune, Run], FOLK_BAND, false),
    style!("six eight groove", 70.0, 110.0, M6, Swing::No, Live, Groove, Acoustic, [SIX_EIGHT_B, JIG], [B_SIX], [C_SIX], [Riff, Tune], LATIN_BAND, false),
];
