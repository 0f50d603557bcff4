//! The house rules that no compiler checks: what may stand where, and what the core must not do.
//!
//! Each rule is a function from text to the problems in it, so that its tests need no files.

use crate::shell::Shell;
use crate::steps;
use crate::tools::WASM_BINDGEN;
use anyhow::{Context, Result, bail};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

/// The crates that the core may depend on.
const CORE_MAY_USE: &[&str] = &[
    "csv-core",
    "serde",
    "serde_json",
    "thiserror",
    "schemars",
    "levenberg-marquardt",
    "ivp",
    "nalgebra",
    "sobol_burley",
];

/// What may stand at the top of the repository, besides names that begin with a dot.
const TOP_LEVEL: &[&str] = &[
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "Trunk.toml",
    "core",
    "index.html",
    "rust-toolchain.toml",
    "tests",
    "web",
];

/// What every checkout needs at its top.
const REQUIRED: &[&str] = &[
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
];

/// Where npm packages are pinned.
const NPM_FOLDERS: &[&str] = &[".ci/one-file", ".ci/wasm-opt", "tests/browser"];

/// Where each Rust file begins with a `//!` line.
const MODULE_FOLDERS: &[&str] = &["core/src/", "web/src/", "tests/", ".ci/"];

/// The documents whose paths must exist.
const DOCUMENTS: &[&str] = &["DEVELOPERS.md", "README.md"];

/// Folders that the build or npm makes, so no checkout has them.
const GENERATED: &[&str] = &["target", "node_modules", "tests/browser/report"];

/// What the core's own code must not say, and why. A word stands alone: `rand` is not in `operand`.
const CORE_MUST_NOT_SAY: &[(&str, &str)] = &[
    ("std::fs", "no files"),
    ("std::io", "no input or output"),
    ("std::net", "no network"),
    ("std::time", "no clock"),
    ("std::env", "no environment"),
    ("std::thread", "no threads"),
    ("std::process", "no processes"),
    ("web_sys", "no page"),
    ("js_sys", "no page"),
    ("print!", "no output"),
    ("println!", "no output"),
    ("eprint!", "no output"),
    ("eprintln!", "no output"),
    ("dbg!", "no output"),
    ("static mut", "no global state"),
    ("thread_local!", "no global state"),
    ("OnceLock", "no global state"),
    ("OnceCell", "no global state"),
    ("LazyLock", "no global state"),
    ("LazyCell", "no global state"),
    ("rand", "no randomness"),
    ("unsafe", "no unsafe code"),
    (".unwrap()", "return an error instead"),
    (".unwrap_err()", "return an error instead"),
    (".expect(", "return an error instead"),
    (".expect_err(", "return an error instead"),
    ("panic!", "return an error instead"),
    ("todo!", "finish it"),
    ("unimplemented!", "finish it"),
    ("unreachable!", "return an error instead"),
];

/// Folders at the root of one person's machine; a path under one works nowhere else.
const MACHINE_FOLDERS: &[&str] = &["Users", "farm", "home", "root", "work"];

/// Checks all rules over the files of the repository and prints every problem.
///
/// # Errors
/// When a rule is broken, or a file cannot be read.
pub fn check(shell: &Shell) -> Result<()> {
    let files = Files::read(&shell.root)?;
    let mut problems = Vec::new();
    problems.extend(check_top_level(&files.names));
    for (name, text) in &files.texts {
        if is_module(name) {
            problems.extend(check_first_line(name, text));
        }
        if DOCUMENTS.contains(&name.as_str()) {
            problems.extend(check_paths(name, text, &files.names));
        }
        problems.extend(check_machine_paths(name, text));
    }
    problems.extend(check_core_source(&files.texts));
    problems.extend(check_dependencies(&steps::metadata(shell)?));
    if let Some(text) = files.text("README.md") {
        problems.extend(check_readme(text));
    }
    problems.extend(check_lock(files.text("Cargo.lock")));
    if let Some(tracked) = git_files(&shell.root, &["--cached"]) {
        problems.extend(check_lock_files(&files.texts, &tracked));
    }
    for (name, text) in &files.texts {
        if is_python_pins(name) {
            problems.extend(check_python_pins(name, text));
        }
        if name.rsplit('/').next() == Some("Cargo.lock") {
            problems.extend(check_checksums(name, text));
        }
    }
    if let Some(text) = files.text("DEVELOPERS.md") {
        let used = direct_dependencies(shell, &files.texts)?;
        problems.extend(check_dependency_table(text, &used));
    }
    for folder in NPM_FOLDERS {
        problems.extend(check_npm(
            folder,
            files.text(&format!("{folder}/package.json")),
            files.text(&format!("{folder}/package-lock.json")),
        ));
    }
    for problem in &problems {
        println!("  {problem}");
    }
    match problems.len() {
        0 => {
            println!("{} files keep the house rules", files.names.len());
            Ok(())
        }
        1 => bail!("1 house rule is broken, see above"),
        count => bail!("{count} house rules are broken, see above"),
    }
}

/// The repository's files: all names, and the text of those that are text.
struct Files {
    names: BTreeSet<String>,
    texts: Vec<(String, String)>,
}

impl Files {
    fn read(root: &Path) -> Result<Self> {
        let names = names(root)?;
        let mut texts = Vec::new();
        for name in &names {
            let bytes =
                fs::read(root.join(name)).with_context(|| format!("{name} cannot be read"))?;
            if let Ok(text) = String::from_utf8(bytes) {
                texts.push((name.clone(), text));
            }
        }
        Ok(Self { names, texts })
    }

    fn text(&self, name: &str) -> Option<&str> {
        let found = self.texts.iter().find(|(other, _)| other == name);
        found.map(|(_, text)| text.as_str())
    }
}

/// The files that git keeps or would keep; where there is no git, all but what a build makes.
fn names(root: &Path) -> Result<BTreeSet<String>> {
    let kept = ["--cached", "--others", "--exclude-standard"];
    if let Some(names) = git_files(root, &kept) {
        return Ok(names);
    }
    let mut names = BTreeSet::new();
    walk(root, "", &mut names)?;
    Ok(names)
}

/// The files that git lists; nothing where there is no git.
fn git_files(root: &Path, which: &[&str]) -> Option<BTreeSet<String>> {
    let listed = Command::new("git")
        .args(["ls-files", "-z"])
        .args(which)
        .current_dir(root)
        .output()
        .ok()
        .filter(|output| output.status.success())?;
    let text = String::from_utf8_lossy(&listed.stdout).into_owned();
    // A file that was deleted and not yet committed is still listed.
    let there = |name: &&str| !name.is_empty() && root.join(name).is_file();
    Some(text.split('\0').filter(there).map(str::to_owned).collect())
}

fn walk(root: &Path, folder: &str, names: &mut BTreeSet<String>) -> Result<()> {
    for entry in fs::read_dir(root.join(folder))? {
        let entry = entry?;
        let base = entry.file_name().to_string_lossy().into_owned();
        let name = if folder.is_empty() {
            base.clone()
        } else {
            format!("{folder}/{base}")
        };
        if base == ".git" || is_generated(&name) {
            continue;
        }
        if entry.file_type()?.is_dir() {
            walk(root, &name, names)?;
        } else {
            names.insert(name);
        }
    }
    Ok(())
}

/// Whether the path is, or lies in, a folder that no checkout has.
fn is_generated(path: &str) -> bool {
    let path = format!("/{path}/");
    GENERATED
        .iter()
        .any(|folder| path.contains(&format!("/{folder}/")))
}

fn check_top_level(names: &BTreeSet<String>) -> Vec<String> {
    let top: BTreeSet<&str> = names
        .iter()
        .filter_map(|name| name.split('/').next())
        .collect();
    let extra = top
        .iter()
        .filter(|name| !name.starts_with('.') && !TOP_LEVEL.contains(name))
        .map(|name| {
            format!(
                "{name}: nothing but {} may stand at the top",
                TOP_LEVEL.join(" ")
            )
        });
    let missing = REQUIRED
        .iter()
        .filter(|name| !names.contains(**name))
        .map(|name| format!("{name}: is missing"));
    extra.chain(missing).collect()
}

fn is_module(name: &str) -> bool {
    name.ends_with(".rs") && MODULE_FOLDERS.iter().any(|folder| name.starts_with(folder))
}

fn check_first_line(name: &str, text: &str) -> Option<String> {
    let first = text.lines().next().unwrap_or_default();
    let said = first.strip_prefix("//!").map(str::trim);
    match said {
        Some(said) if !said.is_empty() => None,
        _ => Some(format!(
            "{name}:1: a module begins with a `//!` line that says what it is for"
        )),
    }
}

/// Looks whether the paths between backticks exist; fenced blocks are left alone.
fn check_paths(document: &str, text: &str, names: &BTreeSet<String>) -> Vec<String> {
    let mut problems = Vec::new();
    let mut fenced = false;
    for (number, line) in text.lines().enumerate() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
            continue;
        }
        if fenced {
            continue;
        }
        // Every other piece between backticks is code.
        for span in line.split('`').skip(1).step_by(2) {
            if looks_like_path(span, names) && !path_exists(span, names) {
                problems.push(format!("{document}:{}: there is no `{span}`", number + 1));
            }
        }
    }
    problems
}

/// A path begins in the repository's top folder, or ends like a source file. `kg/s` is no path.
fn looks_like_path(span: &str, names: &BTreeSet<String>) -> bool {
    let plain = |letter: char| letter.is_ascii_alphanumeric() || "/._-".contains(letter);
    if span.is_empty() || !span.chars().all(plain) || span.starts_with(['/', '-']) {
        return false;
    }
    if is_generated(span) {
        return false;
    }
    let source = [".rs", ".toml", ".mjs", ".html", ".css", ".md"]
        .iter()
        .any(|ending| span.len() > ending.len() && span.ends_with(ending));
    let first = span.split('/').next().unwrap_or_default();
    let known = TOP_LEVEL.contains(&first)
        || names
            .iter()
            .any(|name| name.split('/').next() == Some(first));
    source || (span.contains('/') && known)
}

/// A file or folder from the top; a name alone may be that of a file anywhere.
fn path_exists(span: &str, names: &BTreeSet<String>) -> bool {
    let folder = format!("{}/", span.trim_end_matches('/'));
    let ending = format!("/{span}");
    names.contains(span)
        || names.iter().any(|name| name.starts_with(&folder))
        || (!span.contains('/') && names.iter().any(|name| name.ends_with(&ending)))
}

fn check_machine_paths(name: &str, text: &str) -> Vec<String> {
    let mut problems = Vec::new();
    for (number, line) in text.lines().enumerate() {
        for folder in MACHINE_FOLDERS {
            let path = format!("/{folder}/");
            let absolute = line.match_indices(&path).any(|(place, _)| {
                // In `../home/` or `example.org/home/` the path goes on from something before it.
                !line[..place].ends_with(|before: char| {
                    before.is_alphanumeric() || "._-~$})*".contains(before)
                })
            });
            if absolute {
                problems.push(format!(
                    "{name}:{}: a path under {path} exists on one machine only",
                    number + 1
                ));
            }
        }
    }
    problems
}

fn check_readme(text: &str) -> Option<String> {
    let paragraph = text
        .split("\n\n")
        .map(str::trim)
        .find(|part| !part.is_empty() && !part.starts_with('#'))
        .unwrap_or_default();
    if paragraph.split_whitespace().count() >= 20 && !paragraph.starts_with("```") {
        None
    } else {
        Some(
            "README.md: the first paragraph says in a sentence or more what this is for".to_owned(),
        )
    }
}

/// The core depends on little, the page on the core, and nothing the other way round.
fn check_dependencies(metadata: &Value) -> Vec<String> {
    let dependencies = |package: &str| -> Option<Vec<(String, bool)>> {
        let packages = metadata["packages"].as_array()?;
        let package = packages.iter().find(|other| other["name"] == package)?;
        let list = package["dependencies"].as_array()?.iter();
        Some(
            list.filter_map(|dependency| {
                let name = dependency["name"].as_str()?.to_owned();
                Some((name, dependency["kind"] == "dev"))
            })
            .collect(),
        )
    };
    let mut problems = Vec::new();
    match dependencies("airpath") {
        None => problems.push("core/Cargo.toml: there is no package `airpath`".to_owned()),
        Some(list) => {
            for (name, for_tests) in list {
                if name == "airpath-web" {
                    problems.push("core/Cargo.toml: the core must not know the page".to_owned());
                } else if !for_tests && !CORE_MAY_USE.contains(&name.as_str()) {
                    problems.push(format!(
                        "core/Cargo.toml: {name} is not among the crates that the core may use ({})",
                        CORE_MAY_USE.join(", ")
                    ));
                }
            }
        }
    }
    match dependencies("airpath-web") {
        Some(list)
            if list
                .iter()
                .any(|(name, for_tests)| name == "airpath" && !for_tests) => {}
        _ => problems.push("web/Cargo.toml: the page must depend on `airpath`".to_owned()),
    }
    problems
}

fn check_lock(lock: Option<&str>) -> Option<String> {
    let pinned = format!("name = \"wasm-bindgen\"\nversion = \"{WASM_BINDGEN}\"\n");
    if lock.is_some_and(|lock| lock.contains(&pinned)) {
        None
    } else {
        Some(format!(
            "Cargo.lock: wasm-bindgen is not {WASM_BINDGEN}, as the table of tools says"
        ))
    }
}

/// What pins the dependencies is in git, beside each manifest that is.
fn check_lock_files(texts: &[(String, String)], tracked: &BTreeSet<String>) -> Vec<String> {
    let mut problems = Vec::new();
    for (name, text) in texts {
        let (folder, base) = name.rsplit_once('/').unwrap_or(("", name));
        let lock = match base {
            "Cargo.toml" if is_workspace(text) => "Cargo.lock",
            "package.json" => "package-lock.json",
            _ => continue,
        };
        let lock = format!("{folder}/{lock}");
        let lock = lock.trim_start_matches('/');
        if tracked.contains(name) && !tracked.contains(lock) {
            problems.push(format!(
                "{lock}: is not in git, and {name} is pinned nowhere else"
            ));
        }
    }
    problems
}

/// Whether the manifest is the top of a workspace.
fn is_workspace(manifest: &str) -> bool {
    manifest.lines().any(|line| line.trim() == "[workspace]")
}

/// Every crate from outside has a checksum.
fn check_checksums(name: &str, lock: &str) -> Vec<String> {
    lock.split("[[package]]")
        .filter(|package| package.contains("\nsource = ") && !package.contains("\nchecksum = "))
        .map(|package| {
            let line = package.lines().find(|line| line.starts_with("name = "));
            format!("{name}: no checksum where {}", line.unwrap_or_default())
        })
        .collect()
}

fn is_python_pins(name: &str) -> bool {
    let base = name.rsplit('/').next().unwrap_or(name);
    base.ends_with("requirements.txt") || base == "constraints.txt"
}

/// Python libraries have exact versions.
fn check_python_pins(name: &str, text: &str) -> Vec<String> {
    let exact = |line: &&str| {
        line.split_once("==").is_some_and(|(library, version)| {
            let plain = |letter: char| letter.is_ascii_alphanumeric() || "._-".contains(letter);
            let named = |word: &str| !word.is_empty() && word.chars().all(plain);
            named(library) && named(version)
        })
    };
    text.lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .filter(|line| !exact(line))
        .map(|line| format!("{name}: \"{line}\" is not one library in one exact version"))
        .collect()
}

/// What the project itself asks for from outside: crates, npm packages, Python libraries, each with
/// the file that asks.
fn direct_dependencies(shell: &Shell, texts: &[(String, String)]) -> Result<Vec<(String, String)>> {
    let mut used = Vec::new();
    for (name, text) in texts {
        match name.rsplit('/').next().unwrap_or(name) {
            "Cargo.toml" if is_workspace(text) => {
                used.extend(crates_used(name, &steps::metadata_of(shell, name)?));
            }
            "package.json" => used.extend(npm_packages_used(name, text)),
            base if base.ends_with("requirements.txt") => {
                let libraries = text.lines().filter_map(|line| line.split_once("=="));
                used.extend(libraries.map(|(library, _)| (library.to_owned(), name.clone())));
            }
            _ => {}
        }
    }
    Ok(used)
}

/// The crates from outside that the packages of a workspace name.
fn crates_used(workspace: &str, metadata: &Value) -> Vec<(String, String)> {
    let mut used = Vec::new();
    for package in metadata["packages"].as_array().into_iter().flatten() {
        for dependency in package["dependencies"].as_array().into_iter().flatten() {
            if let (Some(name), Value::Null) = (dependency["name"].as_str(), &dependency["path"]) {
                let package = package["name"].as_str().unwrap_or(workspace);
                used.push((name.to_owned(), package.to_owned()));
            }
        }
    }
    used
}

fn npm_packages_used(file: &str, text: &str) -> Vec<(String, String)> {
    // A file that is not JSON is reported where its versions are checked.
    let package: Value = serde_json::from_str(text).unwrap_or_default();
    let lists = ["dependencies", "devDependencies"];
    let names = lists
        .iter()
        .filter_map(|list| package[list].as_object())
        .flat_map(|list| list.keys());
    names.map(|name| (name.clone(), file.to_owned())).collect()
}

/// The table of dependencies says why each of them is there, and names no other.
fn check_dependency_table(document: &str, used: &[(String, String)]) -> Vec<String> {
    let mut named = BTreeSet::new();
    let mut problems = Vec::new();
    let lines = document
        .lines()
        .skip_while(|line| *line != "## Dependencies");
    let rows = lines
        .skip(1)
        .take_while(|line| !line.starts_with("## "))
        .filter_map(|line| line.strip_prefix('|'))
        // The heading, and the line of dashes below it.
        .skip(2);
    for row in rows {
        let mut cells = row.split('|').map(str::trim);
        let (first, why) = (cells.next().unwrap_or_default(), cells.next());
        if why.unwrap_or_default().is_empty() {
            problems.push(format!("DEVELOPERS.md: does not say why there is {first}"));
        }
        // What stands in brackets is a remark, such as "(tests)".
        let names = first.split('(').next().unwrap_or_default();
        named.extend(names.split(',').map(|name| name.trim().to_lowercase()));
    }
    let mut wanted = BTreeSet::new();
    for (name, by) in used {
        let name = name.to_lowercase();
        if !named.contains(&name) && !wanted.contains(&name) {
            problems.push(format!(
                "DEVELOPERS.md: the table of dependencies does not say why {by} needs {name}"
            ));
        }
        wanted.insert(name);
    }
    for name in named.difference(&wanted) {
        problems.push(format!(
            "DEVELOPERS.md: {name} is in the table of dependencies, and nothing asks for it"
        ));
    }
    problems
}

/// npm packages have exact versions, and their lock file holds no addresses.
fn check_npm(folder: &str, package: Option<&str>, lock: Option<&str>) -> Vec<String> {
    let mut problems = Vec::new();
    match package.map(serde_json::from_str::<Value>) {
        Some(Ok(package)) => {
            for list in ["dependencies", "devDependencies"] {
                for (name, version) in package[list].as_object().into_iter().flatten() {
                    let exact = version.as_str().is_some_and(|version| {
                        version.starts_with(|first: char| first.is_ascii_digit())
                            && version.split('.').count() >= 3
                            && !version.contains([' ', 'x', '*'])
                    });
                    if !exact {
                        problems.push(format!(
                            "{folder}/package.json: {name} needs one exact version"
                        ));
                    }
                }
            }
        }
        _ => problems.push(format!("{folder}/package.json: is missing or not JSON")),
    }
    match lock {
        Some(lock) if lock.contains("\"resolved\"") => problems.push(format!(
            "{folder}/package-lock.json: holds addresses; npm leaves them out when it reads the \
             .npmrc beside it"
        )),
        Some(lock) => problems.extend(check_npm_hashes(folder, lock)),
        None => problems.push(format!("{folder}/package-lock.json: is missing")),
    }
    problems
}

/// Every package of the lock file comes with the hash of what is downloaded.
fn check_npm_hashes(folder: &str, lock: &str) -> Vec<String> {
    let lock: Value = match serde_json::from_str(lock) {
        Ok(lock) => lock,
        Err(error) => return vec![format!("{folder}/package-lock.json: {error}")],
    };
    let packages = lock["packages"].as_object().into_iter().flatten();
    packages
        // The one without a name is the folder itself.
        .filter(|(name, _)| !name.is_empty())
        .filter(|(_, package)| {
            let hash = package["integrity"].as_str();
            !hash.is_some_and(|hash| hash.starts_with("sha512-"))
        })
        .map(|(name, _)| format!("{folder}/package-lock.json: {name} has no hash"))
        .collect()
}

/// The core is pure: its own code, without comments, strings and tests, says none of the words.
fn check_core_source(texts: &[(String, String)]) -> Vec<String> {
    let sources: Vec<(&str, String)> = texts
        .iter()
        .filter(|(name, _)| name.starts_with("core/src/") && name.ends_with(".rs"))
        .map(|(name, text)| (name.as_str(), code_only(text)))
        .collect();
    let mut problems = Vec::new();
    match sources.iter().find(|(name, _)| *name == "core/src/lib.rs") {
        Some((_, code)) if code.contains("#![forbid(unsafe_code)]") => {}
        _ => problems.push("core/src/lib.rs: must say `#![forbid(unsafe_code)]`".to_owned()),
    }
    let mut for_tests = Vec::new();
    let mut shipped = Vec::new();
    for (name, code) in sources {
        let (code, modules) = without_tests(&code);
        for module in modules {
            for_tests.extend(module_files(name, &module));
        }
        shipped.push((name, code));
    }
    for (name, code) in shipped {
        let is_test = for_tests
            .iter()
            .any(|module| name == module || (module.ends_with('/') && name.starts_with(module)));
        if is_test {
            continue;
        }
        for (number, line) in code.lines().enumerate() {
            for (word, reason) in CORE_MUST_NOT_SAY {
                if says(line, word) {
                    problems.push(format!(
                        "{name}:{}: `{word}` in the core: {reason}",
                        number + 1
                    ));
                }
            }
        }
        for module in grouped_std_imports(&code) {
            let path = format!("std::{module}");
            if let Some((_, reason)) = CORE_MUST_NOT_SAY.iter().find(|(word, _)| *word == path) {
                problems.push(format!("{name}: `{path}` in the core: {reason}"));
            }
        }
    }
    problems
}

/// Where the file of `mod NAME;` can stand, seen from the file that declares it.
fn module_files(declared_in: &str, module: &str) -> Vec<String> {
    let (folder, file) = declared_in.rsplit_once('/').unwrap_or(("", declared_in));
    let base = match file {
        "lib.rs" | "main.rs" | "mod.rs" => folder.to_owned(),
        other => format!("{folder}/{}", other.trim_end_matches(".rs")),
    };
    vec![format!("{base}/{module}.rs"), format!("{base}/{module}/")]
}

/// Whether the line has the word, not as a part of a longer one.
fn says(line: &str, word: &str) -> bool {
    let part_of_name = |letter: char| letter.is_alphanumeric() || letter == '_';
    line.match_indices(word).any(|(place, _)| {
        let before = line[..place].chars().next_back();
        let after = line[place + word.len()..].chars().next();
        let joined_before = word.starts_with(part_of_name) && before.is_some_and(part_of_name);
        let joined_after = word.ends_with(part_of_name) && after.is_some_and(part_of_name);
        !joined_before && !joined_after
    })
}

/// The modules that `use std::{…}` names one level below `std`.
fn grouped_std_imports(code: &str) -> Vec<String> {
    let mut modules = Vec::new();
    for (place, opening) in code.match_indices("std::{") {
        let mut depth = 1;
        let mut word = String::new();
        let mut wants_word = true;
        for letter in code[place + opening.len()..].chars() {
            match letter {
                '{' => depth += 1,
                '}' => depth -= 1,
                ',' if depth == 1 => {
                    modules.push(std::mem::take(&mut word));
                    wants_word = true;
                }
                _ if depth == 1 && wants_word && (letter.is_alphanumeric() || letter == '_') => {
                    word.push(letter);
                }
                _ if !letter.is_whitespace() => wants_word = false,
                _ => {}
            }
            if depth == 0 {
                break;
            }
        }
        modules.push(word);
    }
    modules.retain(|module| !module.is_empty());
    modules
}

/// The code alone: comments and the insides of strings and character literals become spaces, and
/// every line keeps its number.
fn code_only(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let mut code = String::with_capacity(text.len());
    let blank = |letter: char| if letter == '\n' { '\n' } else { ' ' };
    let mut at = 0;
    while at < letters.len() {
        let end = skipped_until(&letters, at);
        if end > at {
            code.extend(letters[at..end].iter().map(|letter| blank(*letter)));
            at = end;
        } else {
            code.push(letters[at]);
            at += 1;
        }
    }
    code
}

/// Where the comment, string or character literal that begins here ends; `start` if none begins.
fn skipped_until(letters: &[char], start: usize) -> usize {
    let get = |place: usize| letters.get(place).copied();
    match (letters[start], get(start + 1)) {
        ('/', Some('/')) => {
            let rest = letters[start..].iter();
            start + rest.take_while(|letter| **letter != '\n').count()
        }
        ('/', Some('*')) => {
            // Block comments nest.
            let mut depth = 0;
            let mut at = start;
            while at < letters.len() {
                match (letters[at], get(at + 1)) {
                    ('/', Some('*')) => {
                        depth += 1;
                        at += 2;
                    }
                    ('*', Some('/')) => {
                        depth -= 1;
                        at += 2;
                        if depth == 0 {
                            return at;
                        }
                    }
                    _ => at += 1,
                }
            }
            letters.len()
        }
        ('"', _) => {
            let hashes = hashes_before(letters, start);
            closing_quote(letters, start, hashes)
        }
        ('\'', Some('\\')) => {
            let mut at = start + 3;
            while at < letters.len() && letters[at] != '\'' {
                at += 1;
            }
            (at + 1).min(letters.len())
        }
        // One letter between quotes; anything else is a lifetime.
        ('\'', Some(_)) if get(start + 2) == Some('\'') => start + 3,
        _ => start,
    }
}

/// For a quote that begins a raw string, how many `#` stand before it; nothing for another string.
fn hashes_before(letters: &[char], quote: usize) -> Option<usize> {
    let mut at = quote;
    while at > 0 && letters[at - 1] == '#' {
        at -= 1;
    }
    let hashes = quote - at;
    if at == 0 || letters[at - 1] != 'r' {
        return None;
    }
    // The prefix is `r`, `br` or `cr`, and no longer name may end in it.
    let mut before = at - 1;
    if before > 0 && matches!(letters[before - 1], 'b' | 'c') {
        before -= 1;
    }
    let name_goes_on =
        before > 0 && (letters[before - 1].is_alphanumeric() || letters[before - 1] == '_');
    (!name_goes_on).then_some(hashes)
}

fn closing_quote(letters: &[char], quote: usize, raw: Option<usize>) -> usize {
    let mut at = quote + 1;
    while at < letters.len() {
        match (letters[at], raw) {
            ('\\', None) => at += 2,
            ('"', None) => return at + 1,
            ('"', Some(hashes)) => {
                let closing = letters[at + 1..].iter().take(hashes);
                if closing.filter(|letter| **letter == '#').count() == hashes {
                    return at + 1 + hashes;
                }
                at += 1;
            }
            _ => at += 1,
        }
    }
    letters.len()
}

/// The code without what `#[cfg(test)]` stands before, and the names of such modules that are
/// files of their own. Takes code without comments and strings.
fn without_tests(code: &str) -> (String, Vec<String>) {
    let mut rest = code;
    let mut kept = String::with_capacity(code.len());
    let mut modules = Vec::new();
    while let Some(place) = ["#[cfg(test)]", "#[cfg(all(test"]
        .iter()
        .filter_map(|mark| rest.find(mark))
        .min()
    {
        kept.push_str(&rest[..place]);
        let item = &rest[place..];
        let length = item_length(item);
        if let Some(module) = module_of_its_own(&item[..length]) {
            modules.push(module);
        }
        kept.extend(item[..length].chars().filter(|letter| *letter == '\n'));
        rest = &item[length..];
    }
    kept.push_str(rest);
    (kept, modules)
}

/// How long the item at the start is, attributes included: to its `;`, or to the `}` that closes
/// its first `{`, outside of `()` and `[]`.
fn item_length(item: &str) -> usize {
    let mut braces = 0;
    let mut others = 0;
    for (place, letter) in item.char_indices() {
        match letter {
            '(' | '[' => others += 1,
            ')' | ']' => others -= 1,
            '{' => braces += 1,
            '}' => {
                braces -= 1;
                if braces == 0 && others == 0 {
                    return place + 1;
                }
                if braces < 0 {
                    // The mark stood at the end of a block, before no item.
                    return place;
                }
            }
            ';' if braces == 0 && others == 0 => return place + 1,
            _ => {}
        }
    }
    item.len()
}

fn module_of_its_own(item: &str) -> Option<String> {
    let declaration = item.strip_suffix(';')?;
    let mut words = declaration.split_whitespace().rev();
    let name = words.next()?;
    (words.next()? == "mod").then(|| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(names: &[&str]) -> BTreeSet<String> {
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    fn core(text: &str) -> Vec<String> {
        let pure = "//! Core.\n#![forbid(unsafe_code)]\n".to_owned();
        check_core_source(&[
            ("core/src/lib.rs".to_owned(), pure),
            ("core/src/room.rs".to_owned(), text.to_owned()),
        ])
    }

    #[test]
    fn a_module_says_what_it_is_for() {
        assert_eq!(check_first_line("a.rs", "//! Air.\nfn a() {}\n"), None);
        assert!(check_first_line("a.rs", "fn a() {}\n").is_some());
        assert!(check_first_line("a.rs", "//!\nfn a() {}\n").is_some());
        assert!(check_first_line("a.rs", "").is_some());
        assert!(is_module("core/src/gas/air.rs") && is_module("tests/tests/whole.rs"));
        assert!(!is_module("core/examples/solve.rs") && !is_module("core/src/data.json"));
    }

    #[test]
    fn only_the_listed_names_stand_at_the_top() {
        let mut names = set(REQUIRED);
        names.extend(set(&["core/src/lib.rs", ".gitignore", ".ci/run"]));
        assert_eq!(check_top_level(&names), Vec::<String>::new());
        names.insert("notes/plan.txt".to_owned());
        names.remove("README.md");
        let problems = check_top_level(&names);
        assert_eq!(problems.len(), 2, "{problems:?}");
        assert!(problems[0].starts_with("notes:") && problems[1].starts_with("README.md:"));
    }

    #[test]
    fn paths_in_documents_exist() {
        let names = set(&["core/src/lib.rs", "core/src/gas/air.rs", ".ci/run"]);
        let good = "`core/src/lib.rs`, `core/src/gas/`, `core`, `air.rs`, `.ci/run`, `kg/s`,\n\
                    `target/dist`, `cargo xtask test`, `std::fs`\n```\ncore/none.rs `core/no`\n```\n";
        assert_eq!(check_paths("D", good, &names), Vec::<String>::new());
        let bad = "see `core/src/fuel.rs`\n`water.rs` and `core/none/`\n";
        let problems = check_paths("D", bad, &names);
        assert_eq!(problems.len(), 3, "{problems:?}");
        assert!(problems[0].starts_with("D:1:") && problems[2].starts_with("D:2:"));
    }

    #[test]
    fn no_path_of_one_machine() {
        for folder in MACHINE_FOLDERS {
            let line = format!("see /{folder}/me/file\n");
            assert_eq!(check_machine_paths("a", &line).len(), 1, "{line}");
        }
        let good = format!("../{0}/x ~/{0}/x example.org/{0}/x /{0} /usr/bin/x", "home");
        assert_eq!(check_machine_paths("a", &good), Vec::<String>::new());
    }

    #[test]
    fn the_readme_begins_with_its_purpose() {
        let purpose = "word ".repeat(20);
        assert_eq!(
            check_readme(&format!("# Airpath\n\n{purpose}\n\n## Use\n")),
            None
        );
        assert!(check_readme("# Airpath\n\nShort.\n").is_some());
        assert!(check_readme("# Airpath\n").is_some());
    }

    #[test]
    fn the_core_must_not_say_any_of_the_words() {
        for (word, _) in CORE_MUST_NOT_SAY {
            // A method's name follows a value, and every other word stands alone.
            let value = if word.starts_with('.') { "a" } else { "" };
            let text = format!("//! Room.\nfn f() {{\n    {value}{word} b;\n}}\n");
            let problems = core(&text);
            assert!(!problems.is_empty(), "{word} was not found in {text}");
            assert!(
                problems[0].starts_with("core/src/room.rs:3:"),
                "{problems:?}"
            );
        }
    }

    #[test]
    fn words_in_comments_strings_tests_and_longer_names_are_no_use_of_them() {
        let text = r####"//! Room: panic! unsafe .unwrap()
/// ```
/// a.unwrap();
/// ```
/* todo! /* rand */ unsafe */
fn operand<'a>(brand: &'a str) -> Option<char> {
    let _ = ("panic! \" unsafe", r#"rand " todo!"#, b"dbg!", '"', '\'', '\u{41}');
    brand.parse().unwrap_or_default()
}
#[cfg(test)]
#[allow(dead_code)]
mod tests {
    fn f(a: [u8; 3]) { let x = || { a.first().unwrap(); }; panic!("{x:?}") }
}
#[cfg(test)]
use std::fs;
fn last() {}
"####;
        assert_eq!(core(text), Vec::<String>::new());
    }

    #[test]
    fn code_after_a_test_module_is_checked_with_its_line() {
        let text = "//! Room.\n#[cfg(test)]\nmod tests {\n    fn f() {}\n}\nfn g() { panic!() }\n";
        let problems = core(text);
        assert_eq!(problems.len(), 1);
        assert!(
            problems[0].starts_with("core/src/room.rs:6:"),
            "{problems:?}"
        );
    }

    #[test]
    fn a_test_module_may_be_a_file() {
        let declares = "//! Core.\n#![forbid(unsafe_code)]\n#[cfg(test)]\nmod tests;\nmod room;\n";
        let panics = "//! Room.\nfn f() { panic!() }\n";
        let file = |name: &str, text: &str| (name.to_owned(), text.to_owned());
        let problems = check_core_source(&[
            file("core/src/lib.rs", declares),
            file("core/src/tests.rs", panics),
            file("core/src/tests/deep.rs", panics),
            file("core/src/room.rs", panics),
        ]);
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert!(problems[0].starts_with("core/src/room.rs:2:"));
    }

    #[test]
    fn grouped_imports_are_seen() {
        let text = "//! Room.\nuse std::{\n    collections::{BTreeMap, BTreeSet},\n    fs,\n    time::Duration,\n};\n";
        let problems = core(text);
        assert_eq!(problems.len(), 2, "{problems:?}");
        assert!(problems[0].contains("std::fs") && problems[1].contains("std::time"));
    }

    #[test]
    fn the_core_forbids_unsafe_code() {
        let problems = check_core_source(&[("core/src/lib.rs".to_owned(), "//! Core.".to_owned())]);
        assert_eq!(problems.len(), 1);
    }

    #[test]
    fn dependencies_go_one_way() {
        let metadata = |core: &str, kind: &str, web: &str| {
            serde_json::json!({ "packages": [
                { "name": "airpath", "dependencies": [{ "name": core, "kind": kind }] },
                { "name": "airpath-web", "dependencies": [{ "name": web, "kind": null }] },
            ]})
        };
        assert_eq!(
            check_dependencies(&metadata("serde", "", "airpath")),
            Vec::<String>::new()
        );
        assert_eq!(
            check_dependencies(&metadata("proptest", "dev", "airpath")).len(),
            0
        );
        assert_eq!(
            check_dependencies(&metadata("tokio", "", "airpath")).len(),
            1
        );
        assert_eq!(
            check_dependencies(&metadata("cc", "build", "airpath")).len(),
            1
        );
        assert_eq!(
            check_dependencies(&metadata("airpath-web", "dev", "airpath")).len(),
            1
        );
        assert_eq!(
            check_dependencies(&metadata("serde", "", "leptos")).len(),
            1
        );
    }

    #[test]
    fn versions_are_pinned() {
        let lock = format!("name = \"wasm-bindgen\"\nversion = \"{WASM_BINDGEN}\"\n");
        assert_eq!(check_lock(Some(&lock)), None);
        assert!(check_lock(Some("")).is_some() && check_lock(None).is_some());
        let exact = r#"{"dependencies":{"a":"1.2.3"}}"#;
        assert_eq!(
            check_npm("f", Some(exact), Some("{}")),
            Vec::<String>::new()
        );
        let loose = r#"{"dependencies":{"a":"^1.2.3","b":"1.2"}}"#;
        assert_eq!(check_npm("f", Some(loose), Some("{}")).len(), 2);
        assert_eq!(
            check_npm("f", Some(exact), Some("\"resolved\": 1")).len(),
            1
        );
        assert_eq!(check_npm("f", None, None).len(), 2);
    }

    #[test]
    fn lock_files_are_in_git() {
        let file = |name: &str, text: &str| (name.to_owned(), text.to_owned());
        let texts = [
            file("Cargo.toml", "[workspace]\n"),
            file("core/Cargo.toml", "[package]\nversion.workspace = true\n"),
            file("a/Cargo.toml", "[workspace]\n"),
            file("b/package.json", "{}"),
        ];
        let mut tracked = set(&["Cargo.toml", "core/Cargo.toml", "b/package.json"]);
        let problems = check_lock_files(&texts, &tracked);
        assert_eq!(problems.len(), 2, "{problems:?}");
        assert!(problems[0].starts_with("Cargo.lock:"));
        assert!(problems[1].starts_with("b/package-lock.json:"));
        tracked.extend(set(&["Cargo.lock", "b/package-lock.json"]));
        assert_eq!(check_lock_files(&texts, &tracked), Vec::<String>::new());
    }

    #[test]
    fn what_is_downloaded_has_a_hash() {
        let own = "\n[[package]]\nname = \"own\"\n";
        let good = "\n[[package]]\nname = \"a\"\nsource = \"r\"\nchecksum = \"1\"\n";
        let bad = "\n[[package]]\nname = \"b\"\nsource = \"r\"\n";
        let text = |parts: &[&str]| parts.concat();
        assert_eq!(
            check_checksums("L", &text(&[own, good])),
            Vec::<String>::new()
        );
        assert_eq!(check_checksums("L", &text(&[bad, own, good])).len(), 1);
        let good = r#"{"packages":{"":{},"n/a":{"integrity":"sha512-x"}}}"#;
        assert_eq!(check_npm_hashes("f", good), Vec::<String>::new());
        let bad = r#"{"packages":{"":{},"n/a":{"integrity":"sha1-x"},"n/b":{"link":true}}}"#;
        assert_eq!(check_npm_hashes("f", bad).len(), 2);
        assert_eq!(check_npm_hashes("f", "no").len(), 1);
    }

    #[test]
    fn python_libraries_are_pinned() {
        let good = "# Why.\nCoolProp==8.0.0\n\nruamel.yaml==0.19.1\n";
        assert_eq!(check_python_pins("r", good), Vec::<String>::new());
        let bad = "a>=1\nb\nc==1.*\nd==\n-r other.txt\nf==1; x\n";
        assert_eq!(check_python_pins("r", bad).len(), 6);
        assert!(is_python_pins("a/requirements.txt") && is_python_pins("constraints.txt"));
        assert!(!is_python_pins("notes.txt"));
    }

    #[test]
    fn every_dependency_says_why() {
        let table = |rows: &str| {
            format!(
                "| x |\n## Dependencies\n\n| crate | why |\n| --- | --- |\n{rows}\n## Next\n| y |\n"
            )
        };
        let used = |names: &[&str]| -> Vec<(String, String)> {
            let pair = |name: &&str| ((*name).to_owned(), "core".to_owned());
            names.iter().map(pair).collect()
        };
        let good = table("| serde, serde_json | files |\n| CoolProp (Python) | gases |\n");
        let all = used(&["serde", "serde_json", "coolprop", "serde"]);
        assert_eq!(check_dependency_table(&good, &all), Vec::<String>::new());
        let problems = check_dependency_table(&good, &used(&["serde", "serde_json", "tokio"]));
        assert_eq!(problems.len(), 2, "{problems:?}");
        assert!(problems[0].contains("tokio") && problems[1].contains("coolprop"));
        let empty = table("| serde | |\n");
        assert_eq!(check_dependency_table(&empty, &used(&["serde"])).len(), 1);
        assert_eq!(check_dependency_table("", &used(&["serde"])).len(), 1);
    }

    #[test]
    fn only_what_comes_from_outside_is_a_dependency_to_explain() {
        let metadata = serde_json::json!({ "packages": [{ "name": "web", "dependencies": [
            { "name": "core", "path": "core" }, { "name": "leptos" },
        ]}]});
        let pair = |name: &str, by: &str| (name.to_owned(), by.to_owned());
        assert_eq!(
            crates_used("Cargo.toml", &metadata),
            [pair("leptos", "web")]
        );
        let npm = r#"{"dependencies":{"a":"1.0.0"},"devDependencies":{"b":"1.0.0"}}"#;
        assert_eq!(
            npm_packages_used("p", npm),
            [pair("a", "p"), pair("b", "p")]
        );
    }
}
