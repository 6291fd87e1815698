//! The sheets of the show that is open, for the page to hand out; and what may be asked of them.

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use lanthorn_rig::plan::plan;
use lanthorn_sheets::{Grid, Input, Options, Paper, SheetName, SheetsError};

use crate::command::PaperSize;
use crate::current::Both;
use crate::planned::with_show;

/// How sheets are asked for, on the command line and by the page.
#[derive(Debug)]
pub(crate) struct Asked<'a> {
    /// Names of sheets; none: all.
    pub(crate) only: Vec<&'a str>,
    pub(crate) paper: PaperSize,
    pub(crate) large: bool,
    /// Labels on a sheet.
    pub(crate) labels: Option<u32>,
    /// Where phones reach the machine.
    pub(crate) url: Option<&'a str>,
}

impl Asked<'_> {
    /// What the sheets are made by, or what is wrong with it: the option's name, then why.
    pub(crate) fn options(&self) -> Result<Options, (&'static str, String)> {
        let paper = match self.paper {
            PaperSize::A4 => Paper::A4,
            PaperSize::Letter => Paper::Letter,
        };
        let sheet = |word: &&str| {
            SheetName::from_word(word).ok_or_else(|| {
                let names: Vec<&str> = SheetName::ALL.into_iter().map(SheetName::word).collect();
                ("only", format!("{word}: there is no such sheet\n  sheets: {}", names.join(", ")))
            })
        };
        let only = self.only.iter().map(sheet).collect::<Result<Vec<SheetName>, _>>()?;
        let grid = match (paper, self.labels) {
            (_, None) => None,
            (Paper::A4, Some(24)) => Some(Grid::A4By24),
            (Paper::A4, Some(21)) => Some(Grid::A4By21),
            (Paper::Letter, Some(30)) => Some(Grid::LetterBy30),
            (_, Some(count)) => {
                let why = format!("{count}: sheets of 24 or 21 labels are A4, sheets of 30 are Letter");
                return Err(("labels", why));
            }
        };
        Ok(Options { only, paper, large: self.large, grid, url: self.url.map(str::to_owned) })
    }
}

/// The words of a request, as in `only=plan,power&paper=letter&large&labels=30`.
fn asked(query: &str) -> Result<Asked<'_>, String> {
    let mut asked = Asked { only: Vec::new(), paper: PaperSize::A4, large: false, labels: None, url: None };
    for pair in query.split('&').filter(|pair| !pair.is_empty()) {
        match pair.split_once('=').unwrap_or((pair, "")) {
            ("only", names) => asked.only = names.split(',').filter(|name| !name.is_empty()).collect(),
            ("paper", "a4") => asked.paper = PaperSize::A4,
            ("paper", "letter") => asked.paper = PaperSize::Letter,
            ("large", "") => asked.large = true,
            ("labels", count) => {
                asked.labels = Some(count.parse().map_err(|_| format!("labels={count} is no number"))?);
            }
            _ => {
                return Err(format!(
                    "{pair}: ask for only=NAME,NAME, paper=a4 or letter, large, labels=COUNT"
                ));
            }
        }
    }
    Ok(asked)
}

fn options(query: Option<&str>, url: Option<&str>) -> Result<Options, String> {
    let asked = Asked { url, ..asked(query.unwrap_or_default())? };
    asked.options().map_err(|(name, why)| format!("{name}={why}"))
}

/// The PDF that a request asks for; the labels' codes lead to where others find the page.
pub(crate) fn answer(both: &Both, query: Option<&str>, url: Option<&str>) -> Response {
    let options = match options(query, url) {
        Ok(options) => options,
        Err(why) => return (StatusCode::BAD_REQUEST, format!("{why}\n")).into_response(),
    };
    let plan = with_show(plan(&both.rig), &both.show, &both.rig);
    let input = Input { show: &both.show, rig: &both.rig, plan: &plan };
    handed_out(lanthorn_sheets::pdf(&input, &options), "application/pdf", "sheets.pdf")
}

/// A drawing (SVG) or a table (CSV) by its file name.
pub(crate) fn file(both: &Both, name: &str, query: Option<&str>) -> Response {
    let options = match options(query, None) {
        Ok(options) => options,
        Err(why) => return (StatusCode::BAD_REQUEST, format!("{why}\n")).into_response(),
    };
    let plan = with_show(plan(&both.rig), &both.show, &both.rig);
    let input = Input { show: &both.show, rig: &both.rig, plan: &plan };
    let (files, kind) = match name.rsplit_once('.') {
        Some((_, "svg")) => (lanthorn_sheets::svgs(&input, &options), "image/svg+xml"),
        Some((_, "csv")) => (lanthorn_sheets::csv(&input), "text/csv; charset=utf-8"),
        _ => {
            return (StatusCode::NOT_FOUND, format!("{name}: drawings are SVG, tables are CSV\n"))
                .into_response();
        }
    };
    let files = match files {
        Ok(files) => files,
        Err(why) => return (StatusCode::INTERNAL_SERVER_ERROR, format!("{why}\n")).into_response(),
    };
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    match files.iter().find(|(known, _)| *known == name) {
        Some((name, text)) => handed_out(Ok(text.clone().into_bytes()), kind, name),
        None => {
            let why = format!("{name}: there is {}\n", names.join(", "));
            (StatusCode::NOT_FOUND, why).into_response()
        }
    }
}

fn handed_out(file: Result<Vec<u8>, SheetsError>, kind: &'static str, name: &str) -> Response {
    match file {
        Ok(file) => {
            let headers = [
                (header::CONTENT_TYPE, kind.to_owned()),
                (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
                (header::CACHE_CONTROL, "no-store".to_owned()),
            ];
            (headers, file).into_response()
        }
        Err(why) => (StatusCode::INTERNAL_SERVER_ERROR, format!("{why}\n")).into_response(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn requests_are_read_as_the_command_line_is() {
        let options = |query| asked(query).unwrap().options();
        let all = options("").unwrap();
        assert!(all.only.is_empty() && all.paper == Paper::A4 && !all.large);
        let some = options("only=cues,power&paper=letter&large&labels=30").unwrap();
        assert_eq!(some.only, [SheetName::Cues, SheetName::Power]);
        assert!(some.large && some.paper == Paper::Letter && some.grid == Some(Grid::LetterBy30));
        assert!(options("only=everything").unwrap_err().1.contains("sheets: plan"));
        assert_eq!(options("labels=30").unwrap_err().0, "labels");
        assert!(asked("paper=napkin").is_err() && asked("labels=x").is_err() && asked("what").is_err());
    }
}
