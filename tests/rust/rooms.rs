//! The rooms of `core/src` stand in one order, and a room imports only from the rooms before it; files form no circle, and
//! a case ends where its plan begins.
#![allow(clippy::unwrap_used, reason = "a source file that cannot be read is a test that fails")]

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::{Path, PathBuf},
};

/// The rooms in the order a value passes through them.
const ROOMS: [&str; 9] = ["numerics", "units", "inputs", "laws", "plan", "bed", "cycle", "report", "study"];

/// The rooms that take a plan and no case.
const WITHOUT_A_CASE: [&str; 3] = ["bed", "cycle", "report"];

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

/// A file's code without its comments and its tests.
fn code(file: &Path) -> String {
    let text = fs::read_to_string(file).unwrap();
    let code = text.split("#[cfg(test)]\nmod tests").next().unwrap_or("");
    code.lines().map(|line| line.split("//").next().unwrap_or("")).collect::<Vec<_>>().join("\n")
}

/// A file as a path of modules: `bed/column.rs` is `bed/column`, `bed/mod.rs` is `bed`.
fn module(file: &Path) -> String {
    let path = file.strip_prefix(source()).unwrap().with_extension("");
    let path = path.to_str().unwrap().replace('\\', "/");
    path.strip_suffix("/mod").map_or(path.clone(), str::to_string)
}

/// Paths of modules that begin with `crate` or `super` in a module's code; a brace at the end stands for each name in it.
fn paths(code: &str, module: &str) -> Vec<String> {
    let is_part = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
    let parent = module.rsplit_once('/').map_or("", |(parent, _)| parent);
    let mut found = Vec::new();
    for (start, base) in [("crate::", ""), ("super::", parent)] {
        for (at, _) in code.match_indices(start) {
            if code[..at].ends_with(is_part) {
                continue;
            }
            let rest = &code[at + start.len()..];
            let end = rest.find(|c| !is_part(c)).unwrap_or(rest.len());
            let mut heads = vec![format!("{base}/{}", rest[..end].replace("::", "/"))];
            if rest[..end].ends_with("::") && rest[end..].starts_with('{') {
                let names = rest[end + 1..].split('}').next().unwrap_or("").split(',');
                let names = names.map(|name| name.trim().split([':', ' ']).next().unwrap_or(""));
                heads = names.map(|name| format!("{}{name}", heads[0])).collect();
            }
            found.extend(heads.into_iter().map(|head| head.trim_matches('/').to_string()));
        }
    }
    found
}

/// What each file imports from, of all the files there are.
fn imports() -> BTreeMap<String, BTreeSet<String>> {
    let files = rust_files(&source());
    let modules: BTreeSet<String> = files.iter().map(|file| module(file)).collect();
    let file_of = |path: &str| {
        let ends = path.match_indices('/').map(|(at, _)| at).chain([path.len()]).rev();
        ends.map(|end| &path[..end]).find(|head| modules.contains(*head)).map(str::to_string)
    };
    files
        .iter()
        .map(|file| {
            let this = module(file);
            let from = paths(&code(file), &this).iter().filter_map(|path| file_of(path)).collect::<BTreeSet<_>>();
            let from = from.into_iter().filter(|other| *other != this).collect();
            (this, from)
        })
        .collect()
}

/// Everything that a file leads to.
fn reached(from: &str, imports: &BTreeMap<String, BTreeSet<String>>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut open = vec![from.to_string()];
    while let Some(file) = open.pop() {
        for next in &imports[&file] {
            if found.insert(next.clone()) {
                open.push(next.clone());
            }
        }
    }
    found
}

#[test]
fn no_file_leads_back_to_itself() {
    let imports = imports();
    let edges: usize = imports.values().map(BTreeSet::len).sum();
    assert!(edges > 200, "the search found only {edges} imports between files: it no longer reads them");
    let wrong: Vec<&str> =
        imports.keys().map(String::as_str).filter(|file| reached(file, &imports).contains(*file)).collect();
    assert!(wrong.is_empty(), "files that import each other: {wrong:?}");
}

#[test]
fn no_function_after_the_plan_takes_a_case() {
    let mut seen = 0;
    for room in WITHOUT_A_CASE {
        for file in rust_files(&source().join(room)) {
            let code = code(&file);
            for (at, _) in code.match_indices("fn ") {
                let signature = code[at..].split(['{', ';']).next().unwrap_or("");
                let words: Vec<&str> = signature.split(|c: char| !(c.is_alphanumeric() || c == '_')).collect();
                seen += 1;
                assert!(!words.contains(&"Case"), "{}: {signature}", file.display());
            }
        }
    }
    assert!(seen > 200, "the search found only {seen} functions: it no longer reads them");
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
