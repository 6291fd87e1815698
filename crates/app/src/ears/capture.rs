//! An input of this machine, through its own sound system (cargo feature `audio-in`).

use std::sync::atomic::Ordering;
use std::time::Duration;

use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use lanthorn_live::ears::Feed;

use super::Way;

/// How often it is looked whether the input is still wanted.
const LOOK: Duration = Duration::from_millis(100);

/// Brings the sound of an input until another source takes its place.
pub(super) fn play(part: Option<&str>, way: &Way) {
    if let Err((feed, why)) = capture(part, way) {
        feed.end(Some(why));
    }
}

fn capture(part: Option<&str>, way: &Way) -> Result<(), (Feed, String)> {
    // Until its rate is known there is nothing to listen to, but somebody to tell.
    let unknown = || way.sound("this machine's input".to_owned(), super::RATE);
    let (device, config) = find(part).map_err(|why| (unknown(), why))?;
    let name = device.to_string();
    let feed = way.sound(name.clone(), config.sample_rate());
    let failed = |why: String| (feed.clone(), format!("{name} cannot be listened to: {why}."));
    let channels = usize::from(config.channels()).max(1);
    let (into, clock, fault) = (feed.clone(), way.clock, feed.clone());
    let format = config.sample_format();
    let heard = move |data: &cpal::Data, _: &cpal::InputCallbackInfo| {
        let mono = mono(data, channels);
        if !mono.is_empty() {
            into.push(None, mono, clock.now());
        }
    };
    let wrong = move |why: cpal::Error| fault.end(Some(format!("The input has ended: {why}.")));
    let stream = device
        .build_input_stream_raw(config.config(), format, heard, wrong, None)
        .map_err(|why| failed(why.to_string()))?;
    stream.play().map_err(|why| failed(why.to_string()))?;
    while feed.counts() && !way.stop.load(Ordering::Acquire) {
        std::thread::sleep(LOOK);
    }
    Ok(())
}

/// The input whose name holds a part, or the usual one, and how it gives sound.
fn find(part: Option<&str>) -> Result<(cpal::Device, cpal::SupportedStreamConfig), String> {
    let host = cpal::default_host();
    let device = match part {
        None => host.default_input_device().ok_or("This machine has no input for sound.".to_owned())?,
        Some(part) => {
            let devices =
                host.input_devices().map_err(|why| format!("The inputs cannot be listed: {why}."))?;
            let part = part.to_lowercase();
            let mut names = Vec::new();
            let mut found = None;
            for device in devices {
                let name = device.to_string();
                if found.is_none() && name.to_lowercase().contains(&part) {
                    found = Some(device);
                }
                names.push(name);
            }
            found.ok_or_else(|| format!("No input is called {part}; there are: {}.", names.join(", ")))?
        }
    };
    let config = device.default_input_config().map_err(|why| format!("{device} gives no sound: {why}."))?;
    Ok((device, config))
}

/// All channels as one.
fn mono(data: &cpal::Data, channels: usize) -> Vec<f32> {
    let mix = |samples: Vec<f32>| {
        samples.chunks_exact(channels).map(|all| all.iter().sum::<f32>() / channels as f32).collect()
    };
    if let Some(samples) = data.as_slice::<f32>() {
        mix(samples.to_vec())
    } else if let Some(samples) = data.as_slice::<i16>() {
        mix(samples.iter().map(|sample| f32::from(*sample) / 32_768.0).collect())
    } else if let Some(samples) = data.as_slice::<i32>() {
        mix(samples.iter().map(|sample| *sample as f32 / 2_147_483_648.0).collect())
    } else {
        Vec::new()
    }
}
