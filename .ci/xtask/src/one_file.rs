//! `cargo xtask bundle`: the page as one HTML file that opens from a disk and needs nothing else.
//!
//! The style sheets and the program stand in the file. What cannot work from a disk is left out:
//! the service worker and the manifest, that is, being installed.

use crate::offline::{integrity, policy, with_policy};
use crate::page;
use crate::shell::Shell;
use crate::split::PART;
use crate::tools::Toolbox;
use anyhow::{Context, Result, bail};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use std::fs;
use std::io::Write;
use std::path::Path;

/// The tools that packing takes.
const TOOLS: &[&str] = &["node", "npm", "esbuild"];

/// The one file.
const FILE: &str = "target/airpath.html";

/// Where the program's JavaScript side is put together.
const SCRIPT: &str = "target/one-file.js";

/// What starts the program.
const START: &str = ".ci/one-file/start.mjs";

/// Builds the page, unless told not to, and packs it into one file.
///
/// # Errors
/// When a tool is missing, or the page does not build or is not as expected.
pub fn bundle(shell: &Shell, build: bool) -> Result<()> {
    let toolbox = Toolbox::ready(shell, if build { page::TOOLS } else { TOOLS })?;
    if build {
        page::build(shell, &toolbox)?;
    }
    pack(shell, &toolbox)
}

/// Packs the page that is in `target/dist`.
///
/// # Errors
/// When there is no page, or it is not as expected.
pub fn pack(shell: &Shell, toolbox: &Toolbox) -> Result<()> {
    let dist = shell.root.join(page::DIST);
    let html = fs::read_to_string(dist.join("index.html"))
        .with_context(|| format!("there is no page in {}", page::DIST))?;
    let mut names = Vec::new();
    page::list_files(&dist, &dist, &mut names)?;
    names.sort();
    let only = |ending: &str| -> Result<&String> {
        let mut found = names
            .iter()
            .filter(|name| name.ends_with(ending) && !page::WORKERS.contains(&name.as_str()))
            .filter(|name| !name.starts_with(PART));
        match (found.next(), found.next()) {
            (Some(name), None) => Ok(name),
            _ => bail!("{} must have one file in {ending}", page::DIST),
        }
    };
    let script = glue(shell, toolbox, &dist.join(only(".js")?))?;
    let program = packed(&fs::read(dist.join(only(".wasm")?))?)?;

    let mut page = html;
    let mut styles = Vec::new();
    for name in names.iter().filter(|name| name.ends_with(".css")) {
        let sheet = fs::read_to_string(dist.join(name))?;
        if sheet.contains("</style") {
            bail!("{name} would end the element that holds it");
        }
        styles.push(integrity(sheet.as_bytes()));
        let link = element(&page, "<link rel=\"stylesheet\"", &format!("./{name}"), ">")?;
        page.replace_range(link, &format!("<style>{sheet}</style>"));
    }
    for (start, holds, end) in [
        ("<script type=\"module\"", "init(", "</script>"),
        ("<link rel=\"modulepreload\"", "", ">"),
        ("<link rel=\"preload\"", ".wasm", ">"),
        ("<link rel=\"manifest\"", "", ">"),
        ("<link rel=\"apple-touch-icon\"", "", ">"),
    ] {
        let found = element(&page, start, holds, end)?;
        page.replace_range(found, "");
    }
    page = page.replacen("<html", "<html data-one-file", 1);

    let mut tail = String::new();
    for name in names.iter().filter(|name| is_data(name)) {
        let text = fs::read_to_string(dist.join(name))
            .with_context(|| format!("{name} is no text, and has no place in the one file"))?;
        if text.contains("</script") {
            bail!("{name} would end the element that holds it");
        }
        tail.push_str(&format!(
            "<script type=\"text/plain\" id=\"file:{name}\">{text}</script>\n"
        ));
    }
    for name in names.iter().filter(|name| name.starts_with(PART)) {
        let part = packed(&fs::read(dist.join(name))?)?;
        tail.push_str(&format!(
            "<script type=\"application/octet-stream\" id=\"part:{name}\">{part}</script>\n"
        ));
    }
    tail.push_str(&format!(
        "<script type=\"application/octet-stream\" id=\"program\">{program}</script>\n\
         <script>{script}</script>\n</body>"
    ));
    page = replace_last(&page, "</body>", &tail)?;
    for outside in ["src=\"", "href=\"./"] {
        if page.split("<script").any(|part| {
            let tag = part.split('>').next().unwrap_or_default();
            tag.contains(outside)
        }) {
            bail!("the page still asks for a file: {outside}");
        }
    }
    // From a disk a page has no origin: its own files are in it, and it asks for nothing at all.
    let policy = policy(&page, &styles)?.replace("connect-src 'self'", "connect-src 'none'");
    page = with_policy(&page, &policy)?;
    fs::write(shell.root.join(FILE), &page)?;
    println!("The page as one file is {FILE}, {} bytes.", page.len());
    Ok(())
}

/// Whether a file of the page is neither part of the one file already nor left out of it.
fn is_data(name: &str) -> bool {
    let known = [".html", ".js", ".css", ".wasm", ".webmanifest", ".png"];
    !known.iter().any(|ending| name.ends_with(ending))
}

/// The program's JavaScript side as one classic script: module scripts do not load from a disk.
fn glue(shell: &Shell, toolbox: &Toolbox, file: &Path) -> Result<String> {
    let mut command = shell.command(toolbox.program("esbuild"));
    toolbox.equip(&mut command);
    command
        .args([START, "--bundle", "--minify", "--format=iife"])
        .arg(format!("--alias:airpath-glue={}", file.display()))
        // The glue's own way to its program, which is not used here.
        .args([
            "--log-override:empty-import-meta=silent",
            "--log-override:duplicate-object-key=silent",
            "--log-level=warning",
        ])
        .arg(format!("--outfile={SCRIPT}"));
    shell.run(&mut command)?;
    Ok(fs::read_to_string(shell.root.join(SCRIPT))?
        .trim()
        .to_owned())
}

/// gzip and base64.
fn packed(bytes: &[u8]) -> Result<String> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    packer.write_all(bytes)?;
    Ok(STANDARD.encode(packer.finish()?))
}

/// Where the first element is that starts so, holds this and ends so.
fn element(page: &str, start: &str, holds: &str, end: &str) -> Result<std::ops::Range<usize>> {
    for (from, _) in page.match_indices(start) {
        if let Some(length) = page[from..].find(end) {
            let to = from + length + end.len();
            if page[from..to].contains(holds) {
                return Ok(from..to);
            }
        }
    }
    bail!("index.html has no {start} … {holds} … {end}")
}

fn replace_last(page: &str, what: &str, with: &str) -> Result<String> {
    let place = page
        .rfind(what)
        .with_context(|| format!("index.html has no {what}"))?;
    Ok(format!(
        "{}{with}{}",
        &page[..place],
        &page[place + what.len()..]
    ))
}

#[cfg(test)]
mod tests {
    use super::{element, is_data, replace_last};

    #[test]
    fn an_element_is_found_by_what_it_holds() {
        let page = "<link rel=\"a\" href=\"1\"><link rel=\"a\" href=\"2\">";
        let found = element(page, "<link rel=\"a\"", "2", ">").expect("it is there");
        assert_eq!(&page[found], "<link rel=\"a\" href=\"2\">");
        assert!(element(page, "<link rel=\"a\"", "3", ">").is_err());
    }

    #[test]
    fn the_last_is_replaced() {
        assert_eq!(replace_last("x x", "x", "y").expect("there is one"), "x y");
        assert!(replace_last("z", "x", "y").is_err());
    }

    #[test]
    fn what_the_page_reads_later_goes_along() {
        assert!(is_data("learn.txt") && !is_data("icons/192.png"));
    }
}
