//! What the plan noticed, numbered as it is pointed at in the drawing.

use lanthorn_rig::plan::{Finding, Severity};

use crate::drawing::{Anchor, Drawing, Frame, Ink, Type};
use crate::font::Fonts;
use crate::layout::{Flow, LEFT, capital, triangle};

/// Width of a pointer's sign.
const SIGN: f64 = 3.4;

/// How large a pointer with that number is.
pub(crate) fn pointer_size(fonts: &Fonts, with: Type, number: usize) -> [f64; 2] {
    [SIGN + 0.8 + with.width(fonts, &number.to_string()), 3.8]
}

/// A sign for how much it matters, and its number: a square must change, a triangle asks for care, a dot is worth knowing.
pub(crate) fn pointer(drawing: &mut Drawing, frame: Frame, severity: Severity, number: usize, with: Type) {
    drawing.rect(frame, None, Some(Ink::White));
    let at = [frame.from[0] + SIGN / 2.0, frame.middle()[1]];
    match severity {
        Severity::Error => {
            let square = Frame { from: at, to: at }.grown(1.25);
            drawing.rect(square, None, Some(Ink::Black));
        }
        Severity::Caution => triangle(drawing, at, 1.5, Some(Ink::White)),
        Severity::Note => drawing.circle(at, 0.7, None, Some(Ink::Dark)),
    }
    let at = [frame.from[0] + SIGN + 0.4, at[1] + with.cap() / 2.0];
    drawing.text(at, Anchor::Start, with, number.to_string());
}

/// The list: what, the figure, what to do.
pub(crate) fn list(flow: &mut Flow<'_>, findings: &[Finding]) {
    let (strong, body, small) = (flow.style.strong(), flow.style.body(), flow.style.small());
    flow.heading("To look at", 9.0 * body.leading());
    if findings.is_empty() {
        flow.words("Nothing to report from the checks.", flow.style.note());
        return;
    }
    let inset = if flow.style.large { 16.0 } else { 11.0 };
    let width = (flow.width() - inset).min(if flow.style.large { 260.0 } else { 157.0 });
    let mut before = None;
    for (number, finding) in (1..).zip(findings) {
        let figure = finding.figure.as_deref().map(sentence).unwrap_or_default();
        let remedy = format!("{figure} {}", sentence(&finding.remedy));
        let wrap = |with: Type, text: &str| flow.fonts.wrap(with.face, with.size, text, width);
        // What is only worth knowing gives no reasons here: `lanthorn plan` does.
        let because = match finding.severity {
            Severity::Error | Severity::Caution => {
                wrap(small, &format!("Because {} ({}).", finding.rule, finding.source))
            }
            Severity::Note => Vec::new(),
        };
        let texts = [
            (strong, wrap(strong, &sentence(&finding.what))),
            (body, wrap(body, remedy.trim())),
            (small, because),
        ];
        let height: f64 = texts.iter().map(|(with, lines)| with.leading() * lines.len() as f64).sum();
        let heads = before != Some(finding.severity);
        flow.need(height + if heads { 2.5 * body.leading() } else { 0.0 });
        if heads {
            flow.gap(1.5);
            flow.words(&capital(&finding.severity.to_string()), flow.style.note());
            flow.took(0.6);
            before = Some(finding.severity);
        }
        let y = flow.y();
        let sign = Frame::new([LEFT, y + 0.2], pointer_size(flow.fonts, strong, number));
        pointer(flow.page(), sign, finding.severity, number, strong);
        for (with, lines) in texts {
            for line in lines {
                let at = [LEFT + inset, flow.y() + with.leading() * 0.78];
                flow.page().text(at, Anchor::Start, with, line);
                flow.took(with.leading());
            }
        }
        flow.gap(1.9);
    }
}

fn sentence(text: &str) -> String {
    let text = text.trim_end_matches('.');
    if text.is_empty() { String::new() } else { format!("{}.", capital(text)) }
}
