//! Splits the page's program: parts that a first visit need not download become files of their own.
//!
//! `web/src/later.rs` says which. Trunk runs wasm-bindgen by name; [`stand_in`] puts this program
//! there under that name, which splits what cargo has made and hands the rest to the real one.
//! [`gather`] then puts the parts beside the page. Splitting itself is `wasm_split_cli_support`.

use crate::shell::Shell;
use crate::tools::Toolbox;
use anyhow::{Context, Result, anyhow, bail};
use sha2::{Digest, Sha256};
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

/// The name that trunk calls.
const CALLED: &str = "wasm-bindgen";

/// Tells the stand-in where the real wasm-bindgen is.
const REAL: &str = "AIRPATH_WASM_BINDGEN";

/// Tells the stand-in where the parts go.
const FOLDER: &str = "AIRPATH_PARTS";

/// What wasm-opt is told about parts; as index.html says of the rest.
const OPTIMISE: &[&str] = &[
    "-Oz",
    "--enable-bulk-memory",
    "--enable-nontrapping-float-to-int",
    "--enable-sign-ext",
    "--enable-mutable-globals",
    "--enable-reference-types",
    "--strip-debug",
    "--strip-producers",
];

/// What the program's JavaScript side asks for its parts.
pub const LINK: &str = "__wasm_split.js";

/// What the names of parts begin with in the finished page.
pub const PART: &str = "part-";

/// How a part is fetched: from the one file, where the page is that, or else from beside the page.
const FETCH: &str = "const part = (name) => globalThis.airpathPart?.(name) ?? fetch(new URL(name, import.meta.url));\n";

fn parts(shell: &Shell) -> PathBuf {
    shell.root.join("target/parts")
}

/// Makes a command of trunk's find this program where it looks for wasm-bindgen.
///
/// # Errors
/// When the name cannot be made.
pub fn stand_in(shell: &Shell, toolbox: &Toolbox, command: &mut Command) -> Result<()> {
    let folder = shell.root.join("target/stand-in");
    fs::create_dir_all(&folder)?;
    let here = folder.join(format!("{CALLED}{}", std::env::consts::EXE_SUFFIX));
    let _ = fs::remove_file(&here);
    let own = std::env::current_exe()?;
    if fs::hard_link(&own, &here).is_err() {
        fs::copy(&own, &here).with_context(|| format!("{} cannot be made", here.display()))?;
    }
    let path = command
        .get_envs()
        .find(|(name, _)| *name == "PATH")
        .and_then(|(_, value)| Some(value?.to_owned()))
        .or_else(|| std::env::var_os("PATH"))
        .unwrap_or_default();
    let folders = std::iter::once(folder).chain(std::env::split_paths(&path));
    command.env("PATH", std::env::join_paths(folders)?);
    command.env(REAL, toolbox.program(CALLED));
    command.env(FOLDER, parts(shell));
    Ok(())
}

/// Stands in for wasm-bindgen, if this program was called by that name.
pub fn as_bindgen() -> Option<ExitCode> {
    let mut arguments = std::env::args_os();
    let called = arguments.next()?;
    if Path::new(&called).file_stem()? != CALLED {
        return None;
    }
    Some(match bind(&arguments.collect::<Vec<_>>()) {
        Ok(code) => code,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    })
}

fn bind(arguments: &[OsString]) -> Result<ExitCode> {
    let real = std::env::var_os(REAL).with_context(|| format!("{REAL} is not set"))?;
    let mut command = Command::new(real);
    let program = arguments
        .iter()
        .find(|argument| Path::new(argument).extension().is_some_and(|e| e == "wasm"));
    match program {
        // It is asked what version it is.
        None => command.args(arguments),
        Some(program) => {
            let folder = PathBuf::from(
                std::env::var_os(FOLDER).with_context(|| format!("{FOLDER} is not set"))?,
            );
            let rest = split(&fs::read(program)?, &folder)?;
            command.args(arguments.iter().filter(|a| *a != program));
            command.args(["--keep-lld-exports", "--remove-name-section"]);
            command.arg("--remove-producers-section").arg(rest)
        }
    };
    let status = command.status().context("wasm-bindgen does not start")?;
    Ok(if status.success() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

/// Splits a program into a folder; the path of what is left.
fn split(program: &[u8], folder: &Path) -> Result<PathBuf> {
    if folder.exists() {
        fs::remove_dir_all(folder)?;
    }
    let rest = folder.join("rest.wasm");
    let mut options = wasm_split_cli_support::Options::new(program);
    options.output_dir = folder;
    options.main_out_path = &rest;
    // Replaced when the page is put together.
    options.main_module = "./rest.js";
    wasm_split_cli_support::transform(options)
        .map_err(|error| anyhow!("the program cannot be split: {error:#}"))?;
    Ok(rest)
}

/// Puts the parts beside the page, each under a name with its hash, and what fetches them beside the
/// program's JavaScript side, `glue`.
///
/// # Errors
/// When there are none, or wasm-opt fails.
pub fn gather(shell: &Shell, page: &Path, glue: &str) -> Result<()> {
    let folder = parts(shell);
    let link = folder.join(LINK);
    let mut text = fs::read_to_string(&link)
        .with_context(|| format!("there is no {}: build with xtask", link.display()))?
        .replace("\"./rest.js\"", &format!("\"./{glue}\""));
    let mut names: Vec<String> = fs::read_dir(&folder)?
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".wasm") && name != "rest.wasm")
        .collect();
    names.sort();
    for (number, name) in names.iter().enumerate() {
        let small = folder.join("small");
        let mut command = shell.command(wasm_opt(shell)?);
        command
            .args(OPTIMISE)
            .arg(folder.join(name))
            .arg("-o")
            .arg(&small);
        shell.run(&mut command)?;
        let bytes = fs::read(&small)?;
        let hash: String = Sha256::digest(&bytes)[..8]
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        let new = format!("{PART}{number}-{hash}.wasm");
        fs::write(page.join(&new), bytes)?;
        let fetch = format!("fetch(new URL(\"./{name}\", import.meta.url))");
        if !text.contains(&fetch) {
            bail!("{LINK} does not fetch {name}");
        }
        text = text.replace(&fetch, &format!("part(\"{new}\")"));
    }
    fs::write(page.join(LINK), FETCH.to_owned() + &text)?;
    Ok(())
}

/// The wasm-opt that trunk uses too.
fn wasm_opt(shell: &Shell) -> Result<PathBuf> {
    let found = std::env::var_os("PATH").and_then(|path| {
        std::env::split_paths(&path)
            .map(|folder| folder.join("wasm-opt"))
            .find(|file| file.is_file())
    });
    found.with_context(|| {
        format!(
            "there is no wasm-opt on the path of {}",
            shell.root.display()
        )
    })
}
