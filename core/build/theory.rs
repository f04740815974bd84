//! Renders the formulas of `src/theory.md` to MathML, so that rustdoc shows them without a script or a network.
//!
//! `$...$` and `$$...$$` are LaTeX. MathML is read by every current browser; the source stays readable as text.

use std::{env, error::Error, fs, path::Path};

use pulldown_latex::{
    Parser, Storage,
    config::{DisplayMode, RenderConfig},
    mathml::push_mathml,
};

/// Formulas stand a little out of their line, for which rustdoc would give each paragraph a scroll bar.
const STYLE: &str = "<style>.docblock > p, .docblock > math { overflow: auto hidden; padding-block: 0.2em; }</style>";

/// Render the page.
pub fn render() -> Result<(), Box<dyn Error>> {
    let source = "src/theory.md";
    println!("cargo::rerun-if-changed={source}");
    let rendered = rendered(&fs::read_to_string(source)?)?;
    fs::write(Path::new(&env::var("OUT_DIR")?).join("theory.md"), format!("{STYLE}\n\n{rendered}"))?;
    Ok(())
}

/// The text with its formulas rendered; outside of them nothing changes.
fn rendered(text: &str) -> Result<String, Box<dyn Error>> {
    let mut out = String::with_capacity(4 * text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('$') {
        out.push_str(before);
        let (mode, fence, body) = match after.strip_prefix('$') {
            Some(body) => (DisplayMode::Block, "$$", body),
            None => (DisplayMode::Inline, "$", after),
        };
        let (formula, after) = body.split_once(fence).ok_or_else(|| format!("a {fence} has no end: {body:.40}"))?;
        out.push_str(&mathml(formula, mode)?);
        rest = after;
    }
    out.push_str(rest);
    Ok(out)
}

/// One formula as MathML that Markdown leaves alone: on one line, its marks as entities.
fn mathml(formula: &str, display_mode: DisplayMode) -> Result<String, Box<dyn Error>> {
    let storage = Storage::new();
    let mut found = String::new();
    push_mathml(&mut found, Parser::new(formula, &storage), RenderConfig { display_mode, ..RenderConfig::default() })?;
    // The renderer writes a tag of its large delimiters wrongly, which rustdoc would refuse with fewer words.
    if found.contains("merror") || found.contains("\"minsize") {
        return Err(format!("cannot be read as LaTeX: {formula}").into());
    }
    let mut plain = String::with_capacity(found.len());
    let mut inside_tag = false;
    for letter in found.chars() {
        match letter {
            '<' => inside_tag = true,
            '>' => inside_tag = false,
            _ => {}
        }
        match letter {
            '\n' => plain.push(' '),
            '*' | '_' | '[' | ']' | '`' | '|' | '\\' | '~' if !inside_tag => {
                plain.push_str(&format!("&#{};", u32::from(letter)));
            }
            _ => plain.push(letter),
        }
    }
    Ok(plain)
}
