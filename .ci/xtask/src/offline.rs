//! Finishes the page that trunk has made: its Content-Security-Policy and its service worker.
//!
//! They hold hashes, so they are written last: trunk runs `cargo xtask finish` as its closing hook.

use crate::page;
use crate::shell::Shell;
use crate::split;
use anyhow::{Context, Result, bail};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256, Sha384};
use std::fs;
use std::path::{Path, PathBuf};

/// The service worker without its list of files.
const WORKER: &str = "web/offline/service-worker.js";

/// What makes JavaScript smaller; `tools` installs it.
const ESBUILD: &str = ".ci/one-file/node_modules/.bin/esbuild";

/// Starts the program once something was painted; at once where nobody looks, and soon where the
/// browser does not tell.
const WAIT: &str = "
await new Promise((go) => {
  if (document.hidden) return go();
  setTimeout(go, 100);
  new PerformanceObserver(go).observe({ type: 'paint', buffered: true });
});
const wasm = await init(";

/// Where the policy goes: right after this, before anything that it governs.
const CHARSET: &str = "<meta charset=\"utf-8\">";

/// What the policy's element begins with.
const POLICY: &str = "<meta http-equiv=\"Content-Security-Policy\"";

/// Finishes the page in the folder that trunk names, or in `target/dist`.
///
/// # Errors
/// When a file is missing, or the page is not as expected.
pub fn finish(shell: &Shell) -> Result<()> {
    let folder = std::env::var_os("TRUNK_STAGING_DIR")
        .map_or_else(|| shell.root.join(page::DIST), PathBuf::from);
    let index = folder.join("index.html");
    let html =
        fs::read_to_string(&index).with_context(|| format!("there is no {}", index.display()))?;
    let html = after_the_words(&html)?;
    let html = joined(shell, &folder, &html)?;
    fs::write(&index, with_policy(&html, &policy(&html, &[])?)?)?;
    let source = fs::read_to_string(shell.root.join(WORKER))?;
    fs::write(folder.join("sw.js"), service_worker(&folder, &source)?)?;
    Ok(())
}

/// The page with its program after the words that stand while it loads.
///
/// Without this the browser gives a script the rank of a style sheet, and on a fast connection the
/// program works before there was anything to read. The program is on its way meanwhile.
///
/// # Errors
/// When trunk has started the program in another way than expected.
fn after_the_words(html: &str) -> Result<String> {
    let mut html = html.to_owned();
    for (before, after) in [
        (
            "<link rel=\"modulepreload\" href",
            "<link rel=\"modulepreload\" fetchpriority=\"low\" href",
        ),
        ("\nconst wasm = await init(", WAIT),
    ] {
        if !html.contains(after) {
            if !html.contains(before) {
                bail!("index.html does not say {before}");
            }
            html = html.replacen(before, after, 1);
        }
    }
    Ok(html)
}

/// Joins the program's JavaScript side with what fetches its parts, makes it small, and writes its
/// new hash into the page. Trunk's own way of making it small does not understand it.
///
/// # Errors
/// When esbuild fails, or the page is not as expected.
fn joined(shell: &Shell, folder: &Path, html: &str) -> Result<String> {
    let esbuild = shell.root.join(ESBUILD);
    if !esbuild.is_file() {
        bail!("there is no esbuild: `cargo xtask build` installs it");
    }
    let mut names = Vec::new();
    page::list_files(folder, folder, &mut names)?;
    let own = |name: &&String| name.ends_with(".js") && !page::WORKERS.contains(&name.as_str());
    let Some(glue) = names.iter().find(own) else {
        bail!("the page has no script");
    };
    let file = folder.join(glue);
    let before = sha384(&fs::read(&file)?);
    if !html.contains(&before) {
        bail!("index.html does not hold the hash of {glue}");
    }
    split::gather(shell, folder, glue)?;
    let mut command = shell.command(&esbuild);
    command
        .args([
            "--bundle",
            "--minify",
            "--format=esm",
            "--log-level=warning",
        ])
        // wasm-bindgen names what fetches the parts once for each.
        .args([
            "--allow-overwrite",
            "--log-override:duplicate-object-key=silent",
        ])
        .arg(format!("--outfile={}", file.display()))
        .arg(&file);
    shell.run(&mut command)?;
    fs::remove_file(folder.join(split::LINK))?;
    Ok(html.replace(&before, &sha384(&fs::read(&file)?)))
}

/// A hash as trunk writes it.
fn sha384(bytes: &[u8]) -> String {
    format!("sha384-{}", STANDARD.encode(Sha384::digest(bytes)))
}

/// The service worker with the files of the folder, the page itself as `./`, and their version: a
/// hash over all of it, so that whatever changes makes a new one.
fn service_worker(folder: &Path, source: &str) -> Result<String> {
    let mut names = Vec::new();
    page::list_files(folder, folder, &mut names)?;
    names.retain(|name| name != "sw.js");
    names.sort();
    let mut shell = String::new();
    for name in &names {
        let hash = integrity(&fs::read(folder.join(name))?);
        let name = if name == "index.html" { "./" } else { name };
        shell.push_str(&format!(
            "  [{}, '{hash}'],\n",
            serde_json::to_string(name)?
        ));
    }
    let mut digest = Sha256::new();
    digest.update(&shell);
    digest.update(source);
    let version: String = digest.finalize()[..8]
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    Ok(format!(
        "const VERSION = '{version}';\nconst SHELL = [\n{shell}];\n\n{source}"
    ))
}

/// A hash as policies and `integrity` attributes write it.
pub fn integrity(bytes: &[u8]) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(bytes)))
}

/// The policy of a page: its own files, its inline scripts by their hashes, nothing from elsewhere.
///
/// `styles` are hashes of inline style sheets. Style attributes are allowed: lengths of bars are
/// written as such.
///
/// # Errors
/// When a script has no end.
pub fn policy(html: &str, styles: &[String]) -> Result<String> {
    let scripts = inline_scripts(html)?;
    let quoted =
        |hashes: &[String]| -> String { hashes.iter().map(|hash| format!(" '{hash}'")).collect() };
    let hashes: Vec<String> = scripts
        .iter()
        .map(|text| integrity(text.as_bytes()))
        .collect();
    Ok(format!(
        "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'{}; style-src 'self'{}; \
         style-src-attr 'unsafe-inline'; img-src 'self' data: blob:; connect-src 'self'; \
         worker-src 'self' blob:; manifest-src 'self'; base-uri 'none'; form-action 'none'",
        quoted(&hashes),
        quoted(styles),
    ))
}

/// The page with the policy at its head, in place of an earlier one.
///
/// # Errors
/// When the page does not name its character set.
pub fn with_policy(html: &str, policy: &str) -> Result<String> {
    let mut html = html.to_owned();
    if let Some(start) = html.find(POLICY) {
        let length = html[start..]
            .find('>')
            .context("the policy's element has no end")?;
        let end = start + length + 1;
        html.replace_range(start..end + usize::from(html[end..].starts_with('\n')), "");
    }
    let place = html
        .find(CHARSET)
        .with_context(|| format!("index.html does not say {CHARSET}"))?
        + CHARSET.len();
    html.insert_str(place, &format!("\n{POLICY} content=\"{policy}\">"));
    Ok(html)
}

/// The text of each script that stands in the page itself and runs; data between script tags does
/// not run.
fn inline_scripts(html: &str) -> Result<Vec<&str>> {
    let mut scripts = Vec::new();
    let mut rest = html;
    while let Some(start) = rest.find("<script") {
        let open = start
            + rest[start..]
                .find('>')
                .context("a script's tag has no end")?;
        let Some(length) = rest[open..].find("</script>") else {
            bail!("a script in the page has no end");
        };
        let tag = &rest[start..open];
        let runs = !tag.contains("type=") || tag.contains("module") || tag.contains("javascript");
        if runs && !tag.contains(" src=") {
            scripts.push(&rest[open + 1..open + length]);
        }
        rest = &rest[open + length..];
    }
    Ok(scripts)
}

#[cfg(test)]
mod tests {
    use super::{CHARSET, inline_scripts, integrity, policy, with_policy};

    /// SHA-256 of "abc": FIPS 180-2, appendix B.1, ba7816bf…f20015ad, as base64.
    #[test]
    fn the_hash_is_that_of_the_standard() {
        assert_eq!(
            integrity(b"abc"),
            "sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="
        );
    }

    #[test]
    fn every_script_that_runs_is_hashed_and_no_other() {
        let html = "<script>a</script><script type=\"module\">\nb\n</script>\
                    <script src=\"c.js\"></script><script type=\"text/plain\">d</script>";
        assert_eq!(
            inline_scripts(html).expect("all have an end"),
            ["a", "\nb\n"]
        );
        assert!(inline_scripts("<script>a").is_err());
    }

    #[test]
    fn a_policy_replaces_the_one_before() {
        let html = format!("<head>\n{CHARSET}\n<title></title>");
        let first = policy(&html, &[]).expect("there are no scripts");
        let once = with_policy(&html, &first).expect("it names its character set");
        assert_eq!(with_policy(&once, &first).expect("likewise"), once);
        assert_eq!(once.matches("Content-Security-Policy").count(), 1);
        assert!(with_policy("<head>", &first).is_err());
    }
}
