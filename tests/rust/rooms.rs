//! The rooms of `core/src` stand in one order, and a room imports only from the rooms before it.
#![allow(clippy::unwrap_used, reason = "a source file that cannot be read is a test that fails")]

use std::{
    fs,
    path::{Path, PathBuf},
};

/// The rooms in the order a value passes through them.
const ROOMS: [&str; 8] = ["numerics", "units", "inputs", "laws", "bed", "cycle", "report", "study"];

/// Words that would mean chemistry had come into `numerics`.
const CHEMISTRY: [&str; 8] = ["resin", "brine", "hardness", "salt", "water", "exchange", "calcium", "sodium"];

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../core/src")
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap().flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(rust_files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found
}

#[test]
fn every_room_imports_only_from_rooms_before_it() {
    let mut crossings = 0;
    let mut wrong = Vec::new();
    for (place, room) in ROOMS.iter().enumerate() {
        for file in rust_files(&source().join(room)) {
            let text = fs::read_to_string(&file).unwrap();
            for (line_number, line) in text.lines().enumerate() {
                let code = line.split("//").next().unwrap_or("");
                for (other_place, other) in ROOMS.iter().enumerate() {
                    let named = code.contains(&format!("crate::{other}::"))
                        || code.contains(&format!("crate::{other};"))
                        || code.contains(&format!("crate::{{{other}"));
                    if named {
                        crossings += 1;
                        if other_place > place {
                            wrong.push(format!("{}:{}: {line}", file.display(), line_number + 1));
                        }
                    }
                }
                // `use crate::{a, b}` would hide a crossing from the search above.
                assert!(!code.contains("use crate::{"), "{}:{}: one room a `use`", file.display(), line_number + 1);
                assert!(!code.contains("super::super::super"), "{}: name rooms by `crate::`", file.display());
            }
        }
    }
    assert!(crossings > 20, "the search found only {crossings} imports between rooms: it no longer reads them");
    assert!(wrong.is_empty(), "upward imports:\n{}", wrong.join("\n"));
}

#[test]
fn numerics_knows_no_chemistry() {
    for file in rust_files(&source().join("numerics")) {
        let text = fs::read_to_string(&file).unwrap().to_lowercase();
        for word in CHEMISTRY {
            assert!(!text.contains(word), "{} speaks of {word}", file.display());
        }
    }
}

#[test]
fn every_room_says_what_belongs_in_it() {
    for room in ROOMS {
        let text = fs::read_to_string(source().join(room).join("mod.rs")).unwrap();
        assert!(text.starts_with("//! "), "{room} has no head comment");
    }
}
