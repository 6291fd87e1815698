//! `lanthorn calc WHAT`: the maths of the tool for scripts. One case or an array of cases as JSON on standard input, JSON
//! on standard output; docs/calculators.md has the schemas.
//!
//! A case that is wrong becomes `{"error": "..."}` in its place in an array, and exit status 2; the others are solved.

mod aim;
pub(crate) mod beam;
mod case;
mod colour;
mod motion;
mod plan;
mod sight;

use std::io::{Read, Write};

use serde_json::{Value, json};

use crate::command::{Calc, Calculator};
use crate::run::Failure;

/// Most that is read from standard input.
const MOST_BYTES: u64 = 64 << 20;

/// Reads, solves, prints.
pub(crate) fn run(calc: &Calc) -> Result<(), Failure> {
    let mut text = String::new();
    std::io::stdin().lock().take(MOST_BYTES).read_to_string(&mut text).map_err(|error| {
        Failure::Input(format!("standard input: {error}; write one case, or an array of cases, as JSON"))
    })?;
    let input: Value = serde_json::from_str(&text).map_err(|error| {
        Failure::Input(format!("standard input: {error}; write one case, or an array of cases, as JSON"))
    })?;
    let solve = match calc.what {
        Calculator::Colour => colour::solve,
        Calculator::Beam => beam::solve,
        Calculator::Aim => aim::solve,
        Calculator::Sight => sight::solve,
        Calculator::Motion => motion::solve,
        Calculator::Plan => plan::solve,
    };
    let mut wrong = Vec::new();
    let output = match input {
        Value::Array(cases) => {
            let answer = |(index, case): (usize, Value)| {
                solve(case).unwrap_or_else(|error| {
                    wrong.push(format!("case {}: {error}", index + 1));
                    json!({ "error": error })
                })
            };
            Value::Array(cases.into_iter().enumerate().map(answer).collect())
        }
        case => solve(case).map_err(Failure::Input)?,
    };
    let mut out = std::io::stdout().lock();
    serde_json::to_writer(&mut out, &output).map_err(std::io::Error::from)?;
    writeln!(out)?;
    if wrong.is_empty() { Ok(()) } else { Err(Failure::Input(wrong.join("\n"))) }
}
