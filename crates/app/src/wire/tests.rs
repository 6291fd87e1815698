use lanthorn_store::change::{
    AreaField, Change, ChaseField, CircuitField, CueField, FigureField, FurnitureField, LightField,
    LimitField, MainsField, MusicField, PartField, PlaceField, RoomField, ScoreField, ScorePartField,
    ShowField, StepField, StepsField, Value,
};
use lanthorn_store::chart::Answer;
use lanthorn_store::reading::{
    ChannelReading, Choice, KindReading, ModeReading, Question, RangeReading, Reading, Way, WhenReading,
};
use lanthorn_store::starter::{Lights, Measures, Room, Stage, StageSide};
use ts_rs::TS;

use super::*;
use crate::begin::{BeginAsk, BeginKind, BeginPreview, BeginRefused, BeginRoomView, BeginView};
use crate::lux::{LuxBand, LuxContour, LuxLabel, LuxMark, LuxView};

/// A file of types, from this source, as these types give it.
macro_rules! declared {
    ($source:literal: $($name:ident),* $(,)?) => {{
        let config = ts_rs::Config::default();
        let mut text = format!("// Generated from {} by its test; do not edit.\n", $source);
        $(
            text.push('\n');
            text.push_str(&$name::docs().unwrap_or_default());
            text.push_str("export ");
            text.push_str(&$name::decl(&config));
            text.push('\n');
        )*
        text
    }};
}

/// `web/src/wire.gen.ts` as these types give it.
fn typescript() -> String {
    declared!(
        "crates/app/src/wire.rs":
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
        PartView,
        StepView,
        EditsView,
        SwatchView,
        FigureView,
        ProfileView,
        OfferView,
        ModeView,
        FreeView,
        Word,
        ChaseView,
        CueView,
        PlanView, FieldView, FieldChoice, SumView, HowView, InputView, PlaceSumsView, DivideView, MoveView, CaseView, ShorterView, WhatIfView,
        FindingView,
        CircuitView,
        LineView,
        Moment,
        FileSays,
        FlashesNow,
        HistoryView, EntryView, EntryStanding,
        ScoreView, ScoreLineView, ScorePartView, ScoreNow, ScoreAsk,
        MusicNow, MusicSource, MusicAsk, EarsHello, ToEars,
        SightingNow,
        SetUpView, SetUpPart, SetUpCard, SetUpStep, CheckView, QuestionView, AskedLight, StandingView, CauseView, SeenName, Otherwise,
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
        CodeView, QrView, PairedView,
        Role,
        Knock,
        Intent,
        NudgeStep,
        AxisName,
        LuxView, LuxBand,
        LuxContour, LuxLabel, LuxMark,
        ChartAsk, ChartTake, KindView, Reading, ModeReading, ChannelReading, RangeReading, KindReading, Way, WhenReading, Question, Choice,
        BeginAsk,
        BeginView,
        BeginRoomView,
        BeginKind,
        BeginPreview,
        BeginRefused,
    )
}

/// `web/src/change.gen.ts` likewise.
fn typescript_of_changes() -> String {
    declared!(
        "crates/store/src/change/":
        Change,
        Answer,
        Value,
        ShowField,
        MusicField,
        RoomField,
        PlaceField,
        AreaField,
        FurnitureField,
        CircuitField,
        LimitField,
        MainsField,
        LightField,
        FigureField,
        PartField,
        ChaseField,
        StepField,
        StepsField,
        CueField,
        ScoreField,
        ScorePartField,
        Room,
        Measures,
        Stage,
        StageSide,
        Lights,
    )
}

/// Writes a file of types anew where it is not what it should be, and says so.
fn up_to_date(name: &str, made: &str) {
    let path = format!("{}/../../web/src/{name}", env!("CARGO_MANIFEST_DIR"));
    let found = std::fs::read_to_string(&path).unwrap_or_default();
    if found == made {
        return;
    }
    assert!(std::env::var_os("CI").is_none(), "web/src/{name} is stale: run the tests here and commit it");
    std::fs::write(path, made).unwrap();
    panic!("web/src/{name} was stale; it is written anew: run `cargo xtask web` and commit both");
}

#[test]
fn the_page_knows_these_very_types() {
    let (first, rest) = typescript().split_once('\n').map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
    let imports = "import type { Answer, BeginLights, BeginRoom, Change, FigureField, PartField, RoomMeasures, ScorePartField, Value } from './change.gen';";
    up_to_date("wire.gen.ts", &format!("{first}\n{imports}\n{rest}"));
}

#[test]
fn the_page_knows_every_change() {
    up_to_date("change.gen.ts", &typescript_of_changes());
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
