//! WAV bytes out, and in.

use crate::truth::Clip;

impl Clip {
    /// The clip as a WAV file: 16 bit, one channel.
    #[must_use]
    pub fn wav(&self) -> Vec<u8> {
        let size = (self.samples.len() * 2) as u32;
        let mut out = Vec::with_capacity(44 + size as usize);
        out.extend_from_slice(b"RIFF");
        out.extend_from_slice(&(36 + size).to_le_bytes());
        out.extend_from_slice(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
        out.extend_from_slice(&self.rate.to_le_bytes());
        out.extend_from_slice(&(self.rate * 2).to_le_bytes());
        out.extend_from_slice(b"\x02\0\x10\0data");
        out.extend_from_slice(&size.to_le_bytes());
        for sample in &self.samples {
            out.extend_from_slice(&((sample.clamp(-1.0, 1.0) * 32767.0) as i16).to_le_bytes());
        }
        out
    }
}

/// Samples and rate of a WAV file of 16-bit samples; channels are averaged. `None` for anything else.
pub(crate) fn read(bytes: &[u8]) -> Option<(Vec<f32>, u32)> {
    let u16_at = |at: usize| Some(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?));
    let u32_at = |at: usize| Some(u32::from_le_bytes(bytes.get(at..at + 4)?.try_into().ok()?));
    if bytes.get(..4)? != b"RIFF" || bytes.get(8..12)? != b"WAVE" {
        return None;
    }
    let (mut at, mut channels, mut rate) = (12, 0usize, 0);
    loop {
        let size = u32_at(at + 4)? as usize;
        match bytes.get(at..at + 4)? {
            b"fmt " if u16_at(at + 8)? == 1 && u16_at(at + 22)? == 16 => {
                (channels, rate) = (usize::from(u16_at(at + 10)?), u32_at(at + 12)?);
            }
            b"data" if channels > 0 && rate > 0 => {
                let data = bytes.get(at + 8..bytes.len().min((at + 8).saturating_add(size)))?;
                let samples = data.chunks_exact(2 * channels).map(|frame| {
                    let sum: i32 =
                        frame.chunks_exact(2).map(|s| i32::from(i16::from_le_bytes([s[0], s[1]]))).sum();
                    sum as f32 / (32768.0 * channels as f32)
                });
                return Some((samples.collect(), rate));
            }
            _ => {}
        }
        at = at.checked_add(8)?.checked_add(size)?.checked_add(size & 1)?;
    }
}
