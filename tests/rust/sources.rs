//! Every source that is cited has an entry in `core/references.bib`, and every entry there is cited.
#![allow(clippy::unwrap_used, reason = "a file that cannot be read is a test that fails")]

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
};

use biblatex::{Bibliography, ChunksExt, Entry};
use regex::Regex;

/// Where texts cite, from the top of the project.
const PLACES: [&str; 7] = ["core", "py", "tests", "benches", "notebooks-demo", "README.md", "DEVELOPERS.md"];
/// Kinds of files that cite, by their ending.
const TEXTS: [&str; 7] = ["rs", "py", "pyi", "md", "toml", "json", "ipynb"];
/// How far a source was seen.
const READ: [&str; 4] = ["paper", "textbook", "second-hand", "from memory"];

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn texts(place: &Path) -> Vec<PathBuf> {
    if place.is_file() {
        let cites = place.extension().is_some_and(|ending| TEXTS.iter().any(|text| ending == *text));
        return if cites { vec![place.to_path_buf()] } else { Vec::new() };
    }
    let name = place.file_name().unwrap().to_string_lossy();
    if name.starts_with('.') || name == "target" {
        return Vec::new();
    }
    fs::read_dir(place).unwrap().flatten().flat_map(|entry| texts(&entry.path())).collect()
}

/// What is written in a file on one line, without the marks of comments; a bar where comments begin and end.
fn on_one_line(text: &str) -> String {
    let mut line_before_is_comment = false;
    let mut joined = String::with_capacity(text.len());
    for line in text.lines().map(str::trim) {
        let words = line.trim_start_matches(['/', '!', '#']);
        let is_comment = words.len() < line.len();
        joined.push_str(if is_comment == line_before_is_comment { " " } else { " | " });
        joined.push_str(words.trim());
        line_before_is_comment = is_comment;
    }
    joined
}

/// Citations by author and year: "S. Ergun (1952)", "Ergun 1952", "C. Y. Wen and Y. H. Yu (1966)", "Kramer et al. 2019",
/// "UFC 3-240-13FN (2005)".
struct Citations(Regex);

impl Citations {
    fn new() -> Self {
        let initials = r"(?:[A-Z]\.(?:-[A-Z]\.)* )*";
        let surname = r"(?:van |von |de |Al )?[A-Z][A-Za-z'-]+";
        let institution = "[A-Z][A-Z0-9]{2,}";
        let publication = "(?: [0-9][0-9A-Z.-]*)?";
        let first = format!("{initials}(?:(?<institution>{institution}){publication}|(?<surname>{surname}))");
        let others = format!(r"(?:(?:, | and | & |, and ){initials}{surname})*(?: et al\.| and others)?");
        let year = r"(?:1[89]\d\d|20[0-2]\d)[a-z]?";
        Self(Regex::new(&format!(r"\b{first}{others},? \(?(?<year>{year})\b")).unwrap())
    }

    /// Keys of what a text cites: surname of the first author and year.
    fn in_text(&self, text: &str) -> BTreeSet<String> {
        let joined = on_one_line(text);
        let names = |found: &regex::Captures<'_>| {
            let first = found.name("institution").or_else(|| found.name("surname"))?.as_str().replace(' ', "");
            Some(first + &found["year"])
        };
        self.0.captures_iter(&joined).filter_map(|found| names(&found)).collect()
    }
}

fn bibliography() -> Bibliography {
    Bibliography::parse(&fs::read_to_string(top().join("core/references.bib")).unwrap()).unwrap()
}

/// A field as it is written, on one line.
fn field(entry: &Entry, name: &str) -> Option<String> {
    let written = entry.get(name)?.format_verbatim();
    Some(written.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// Each text with its path, but for this file, whose citations are examples.
fn all_texts() -> Vec<(PathBuf, String)> {
    let paths = PLACES.iter().flat_map(|place| texts(&top().join(place)));
    let others = paths.filter(|path| !path.ends_with("rust/sources.rs"));
    others.map(|path| (path.clone(), fs::read_to_string(&path).unwrap())).collect()
}

#[test]
fn every_citation_has_its_entry() {
    let (bibliography, citations) = (bibliography(), Citations::new());
    let mut count = 0;
    let mut unknown = Vec::new();
    for (path, text) in all_texts() {
        for key in citations.in_text(&text) {
            count += 1;
            if bibliography.get(&key).is_none() {
                unknown.push(format!("{}: {key}", path.display()));
            }
        }
    }
    assert!(count > 150, "the search found only {count} citations: it no longer reads them");
    assert!(unknown.is_empty(), "cited, but not in core/references.bib:\n{}", unknown.join("\n"));
}

#[test]
fn every_entry_is_cited() {
    let citations = Citations::new();
    let texts = all_texts();
    let cited: BTreeSet<_> = texts.iter().flat_map(|(_, text)| citations.in_text(text)).collect();
    let joined: Vec<_> = texts.iter().map(|(_, text)| on_one_line(text)).collect();
    let idle: Vec<_> = bibliography()
        .iter()
        .filter(|entry| match field(entry, "shorthand") {
            Some(words) => !joined.iter().any(|text| text.contains(&words)),
            None => !cited.contains(&entry.key),
        })
        .map(|entry| entry.key.clone())
        .collect();
    assert!(idle.is_empty(), "in core/references.bib, but cited nowhere: {}", idle.join(", "));
}

#[test]
fn every_entry_is_keyed_by_author_and_year_and_says_what_was_read() {
    for entry in bibliography().iter() {
        let key = &entry.key;
        let read = field(entry, "read").unwrap_or_default();
        assert!(READ.contains(&read.as_str()), "{key}: read = {{{read}}}, not one of {READ:?}");
        assert!(field(entry, "note").is_some_and(|note| note.ends_with('.')), "{key} has no note");
        let year = field(entry, "year");
        let dated = year.is_some();
        assert_ne!(dated, field(entry, "shorthand").is_some(), "{key}: a year, or a shorthand where there is none");
        if let Some(year) = year {
            let authors = entry.author().unwrap();
            let surname = format!("{}{}", authors[0].prefix, authors[0].name).replace(' ', "");
            let letter = key.strip_prefix(&format!("{surname}{year}")).unwrap_or("none");
            assert!(letter.len() <= 1, "{key} is not {surname}{year}, nor that with a letter");
        }
    }
}

#[test]
fn citations_are_found_in_every_form() {
    let citations = Citations::new();
    for (text, keys) in [
        ("S. Ergun (1952), Chem. Eng. Prog. 48, 89", vec!["Ergun1952"]),
        ("by Ergun 1952; C. Y. Wen, Y. H. Yu (1966)", vec!["Ergun1952", "Wen1966"]),
        ("Harvie, Moller and Weare (1984)", vec!["Harvie1984"]),
        ("O. J. I. Kramer et al. 2019; R. W. Potter and others 1977", vec!["Kramer2019", "Potter1977"]),
        ("(B. van Leer 1985), N.-S. Cheng (2009)", vec!["Cheng2009", "vanLeer1985"]),
        ("UFC 3-240-13FN (2005); CIE 142, 2001; W3C (2015)", vec!["CIE2001", "UFC2005", "W3C2015"]),
        ("/// (J. Kestin, H. E. Khalifa, R. J. Correia\n    /// 1981b, J. Phys.", vec!["Kestin1981b"]),
        ("    Gnielinski,\n    /// J. J. Carberry (1960)", vec!["Carberry1960"]),
        ("case.with(2000), Some(1900), 2000 points in 1999, Re = 2000, beta1 = 3.1973", vec![]),
    ] {
        assert_eq!(citations.in_text(text).into_iter().collect::<Vec<_>>(), keys, "{text}");
    }
}
