//! Fixture descriptions a second: our reader, from archive to a profile with ranges, heads and warnings, beside the crate `gdtf`,
//! which reads into an object model and goes no further. And the footprints of several hundred, beside those of `pygdtf` where
//! LANTHORN_PYTHON names an interpreter that has it.

use std::hint::black_box;
use std::io::{Cursor, Write};
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use lanthorn_bench::descriptions::{Size, description};
use lanthorn_bench::{head, in_turns, row};
use lanthorn_store::gdtf as ours;

const BUDGET: Duration = Duration::from_secs(3);
const EACH: u64 = 20;
const COMPARED: u64 = 600;

fn main() {
    println!("descriptions a second, in archives, {EACH} different ones each, one core");
    head(&["what", "KiB of XML", "ours", "crate gdtf", "x"]);
    for (name, size) in [("small", Size::Small), ("medium", Size::Medium), ("large", Size::Large)] {
        let texts: Vec<String> = (0..EACH).map(|seed| description(seed, size)).collect();
        let files: Vec<Vec<u8>> = texts.iter().map(|text| packed(text)).collect();
        let opened =
            files.iter().filter(|file| gdtf::GdtfFile::new(Cursor::new(file.to_vec())).is_ok()).count();
        let read = files.iter().filter(|file| ours::read(file).is_ok()).count();
        assert_eq!((opened, read), (files.len(), files.len()), "both read all of them");
        let [own, theirs] = in_turns(
            BUDGET,
            [&mut || files.iter().for_each(|file| drop(black_box(ours::read(black_box(file))))), &mut || {
                files.iter().for_each(|file| {
                    drop(black_box(gdtf::GdtfFile::new(Cursor::new(black_box(file.to_vec())))))
                });
            }],
        );
        let each = |us: f64| EACH as f64 / us * 1e6;
        let length: usize = texts.iter().map(String::len).sum();
        row(&[
            name.to_owned(),
            format!("{:.1}", length as f64 / EACH as f64 / 1024.0),
            format!("{:.0}", each(own.median())),
            format!("{:.0}", each(theirs.median())),
            format!("{:.2}", theirs.median() / own.median()),
        ]);
    }
    footprints();
}

fn packed(text: &str) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default();
    let done = zip.start_file("description.xml", options).map_err(std::io::Error::from);
    let done = done.and_then(|()| zip.write_all(text.as_bytes()));
    done.and_then(|()| zip.finish().map_err(std::io::Error::from)).map(Cursor::into_inner).unwrap_or_default()
}

/// Slots of every mode of several hundred descriptions, beside the reference reader's.
fn footprints() {
    println!();
    let Ok(interpreter) = std::env::var("LANTHORN_PYTHON") else {
        println!("footprints: LANTHORN_PYTHON names no interpreter with pygdtf: ours are not compared");
        return;
    };
    let folder = std::env::temp_dir().join(format!("lanthorn-descriptions-{}", std::process::id()));
    let compared = compare(&interpreter, &folder);
    let _ = std::fs::remove_dir_all(&folder);
    match compared {
        Ok(told) => {
            println!("footprints: {} of {} modes as pygdtf has them", told.same, told.all);
            println!(
                "    of these {} have several DMX breaks; left out: {} modes with channels that say \"Overwrite\", which \
                 pygdtf 1.4 puts into break 1 where DIN SPEC 15800 (table 49) has the last break of the reference",
                told.several, told.overwritten
            );
        }
        Err(why) => println!("footprints: not compared: {why}"),
    }
}

/// Modes compared.
#[derive(Default)]
struct Told {
    same: usize,
    all: usize,
    several: usize,
    overwritten: usize,
}

fn compare(interpreter: &str, folder: &Path) -> Result<Told, String> {
    let failed = |why: std::io::Error| why.to_string();
    std::fs::create_dir_all(folder).map_err(failed)?;
    let (mut own, mut texts) = (Vec::new(), Vec::new());
    for seed in 0..COMPARED {
        let size = [Size::Small, Size::Medium, Size::Large][(seed % 3) as usize];
        let text = description(1_000 + seed, size);
        let file = packed(&text);
        texts.push(text);
        std::fs::write(folder.join(format!("{seed:04}.gdtf")), &file).map_err(failed)?;
        own.push(ours::read(&file).map_err(|why| why.to_string())?.modes);
    }
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("footprints.py");
    let output = Command::new(interpreter).arg(script).arg(folder).output().map_err(failed)?;
    let text = String::from_utf8_lossy(&output.stdout);
    let theirs: Vec<Vec<Vec<u32>>> = serde_json::from_str(&text)
        .map_err(|why| format!("{why}: {}", String::from_utf8_lossy(&output.stderr)))?;
    let mut told = Told::default();
    for ((own, theirs), text) in own.iter().zip(&theirs).zip(&texts) {
        let modes = text.split("<DMXMode ").skip(1);
        for ((own, theirs), text) in own.iter().zip(theirs).zip(modes) {
            if text.contains("\"Overwrite\"") {
                told.overwritten += 1;
                continue;
            }
            let own: Vec<u32> = own.breaks.iter().map(|one| one.footprint).collect();
            told.all += 1;
            told.same += usize::from(own == *theirs);
            told.several += usize::from(own.len() > 1);
        }
    }
    Ok(told)
}
