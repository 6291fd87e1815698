//! `lanthorn calc sight`

use serde_json::Value;

/// Sighting in: one case.
pub(super) fn solve(_case: Value) -> Result<Value, String> {
    Err("not there yet".to_owned())
}
