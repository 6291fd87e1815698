use ts_rs::TS;

use super::*;
use crate::lux::{LuxBand, LuxContour, LuxLabel, LuxMark, LuxView};

/// `web/src/wire.gen.ts` as these types give it.
fn typescript() -> String {
    let config = ts_rs::Config::default();
    let mut text = "// Generated from crates/app/src/wire.rs by its test; do not edit.\n".to_owned();
    macro_rules! declare {
        ($($name:ident),* $(,)?) => {
            $(
                text.push('\n');
                text.push_str(&$name::docs().unwrap_or_default());
                text.push_str("export ");
                text.push_str(&$name::decl(&config));
                text.push('\n');
            )*
        };
    }
    declare!(
        ToPage,
        Scene,
        RoomView,
        AreaView,
        FurnitureView,
        MarkView,
        PlaceView,
        UnitView,
        SightingView,
        SightView,
        ReachView,
        ReachDot,
        ReachWhite,
        ColourAnswer,
        GroupView,
        LookView,
        PathView,
        Word,
        ChaseView,
        CueView,
        PlanView,
        FindingView,
        CircuitView,
        LineView,
        Moment,
        FileSays,
        SightingNow,
        LightMoment,
        HeadMoment,
        Spot,
        Now,
        RunningChase,
        Link,
        OutputView,
        PairAsk,
        Admitted,
        DoorView,
        CodeView,
        QrView,
        PairedView,
        Role,
        Knock,
        Intent,
        NudgeStep,
        AxisName,
        LuxView,
        LuxBand,
        LuxContour,
        LuxLabel,
        LuxMark,
    );
    text
}

#[test]
fn the_page_knows_these_very_types() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../web/src/wire.gen.ts");
    let made = typescript();
    let found = std::fs::read_to_string(path).unwrap_or_default();
    if found == made {
        return;
    }
    assert!(
        std::env::var_os("CI").is_none(),
        "web/src/wire.gen.ts is stale: run the tests here and commit it"
    );
    std::fs::write(path, made).unwrap();
    panic!("web/src/wire.gen.ts was stale; it is written anew: run `cargo xtask web` and commit both");
}

#[test]
fn intents_read_as_the_page_writes_them() {
    for (text, intent) in [
        (r#"{"type":"go"}"#, Intent::Go),
        (r#"{"type":"stop_strobe","on":true}"#, Intent::StopStrobe { on: true }),
        (r#"{"type":"aim","unit":4,"at":[1,-2.5,0]}"#, Intent::Aim { unit: 4, at: [1.0, -2.5, 0.0] }),
        (r#"{"type":"let_go","unit":null}"#, Intent::LetGo { unit: None }),
    ] {
        assert_eq!(serde_json::from_str::<Intent>(text).unwrap(), intent, "{text}");
    }
}
