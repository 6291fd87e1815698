//! `lanthorn calc aim`

use serde_json::Value;

/// Pan and tilt for a point: one case.
pub(super) fn solve(_case: Value) -> Result<Value, String> {
    Err("not there yet".to_owned())
}
