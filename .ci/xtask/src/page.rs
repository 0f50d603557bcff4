//! The web page: making it, serving it on this machine, and weighing what a first visit downloads.

use crate::shell::Shell;
use crate::split;
use crate::tools::Toolbox;
use anyhow::{Context, Result, bail};
use std::fs;
use std::net::{Ipv4Addr, TcpListener};
use std::path::Path;
use std::process::Command;

/// The tools that making the page takes.
pub const TOOLS: &[&str] = &[
    "wasm-target",
    "node",
    "npm",
    "wasm-opt",
    "esbuild",
    "wasm-bindgen",
    "trunk",
];

/// Scripts that workers run: the page itself loads neither.
pub const WORKERS: [&str; 2] = ["sw.js", "beside.js"];

/// Where trunk puts the page, as `Trunk.toml` says.
pub const DIST: &str = "target/dist";

/// The most that a first visit may download, in bytes of brotli (350 kB).
const BUDGET: usize = 350_000;

/// What the names of files begin with that a first visit does not download, and the reason. All others count.
const LATER: &[(&str, &str)] = &[
    ("icons/192.png", ICON),
    ("icons/512.png", ICON),
    ("icons/maskable-512.png", ICON),
    ("icons/touch-180.png", ICON),
    (split::PART, "fetched when it is first wanted"),
];

/// Why an icon is not part of a first visit.
const ICON: &str = "fetched once the page stands, to install it";

/// The port that `serve` tries first.
const FIRST_PORT: u16 = 8080;

/// How to serve the page.
pub struct ServeOptions {
    /// The port asked for; without one the first free one from 8080 on.
    pub port: Option<u16>,
    /// Whether to open a browser, if there is one.
    pub open: bool,
}

impl Default for ServeOptions {
    fn default() -> Self {
        Self {
            port: None,
            open: true,
        }
    }
}

/// Builds the page and serves it, and again after each change of a source file, until interrupted.
///
/// # Errors
/// When a tool is missing, the port is taken, or trunk stops.
pub fn serve(shell: &Shell, options: &ServeOptions) -> Result<()> {
    let toolbox = Toolbox::ready(shell, TOOLS)?;
    let port = free_port(options.port)?;
    fetch_crates(shell)?;
    let address = format!("http://127.0.0.1:{port}/");
    let mut command = trunk(shell, &toolbox)?;
    command.args(["serve", "--release", "--address", "127.0.0.1", "--port"]);
    command.arg(port.to_string());
    if options.open && has_browser() {
        command.arg("--open");
    }
    println!(
        "\nAirpath will be at {} as soon as it is built (Ctrl-C stops it).\n",
        shell.bold(&address)
    );
    become_command(shell, command)
}

/// Makes the page in `target/dist`, optimised, and checks that all its parts are there.
///
/// # Errors
/// When a crate or the page does not build.
pub fn build(shell: &Shell, toolbox: &Toolbox) -> Result<()> {
    fetch_crates(shell)?;
    shell.run(trunk(shell, toolbox)?.args(["build", "--release"]))?;
    println!("The page is in {DIST}.");
    Ok(())
}

/// Prints what each file of the page weighs as brotli, and fails past the budget.
///
/// Every file counts that is not listed in [`LATER`]: one that is forgotten there weighs too much,
/// never too little.
///
/// # Errors
/// When there is no page, or it is over the budget.
pub fn size(shell: &Shell) -> Result<()> {
    let dist = shell.root.join(DIST);
    if !dist.join("index.html").is_file() {
        bail!("there is no page in {DIST}: run `cargo xtask build` first");
    }
    let mut files = Vec::new();
    list_files(&dist, &dist, &mut files)?;
    files.sort();
    let mut total = 0;
    println!("{:>10} {:>10}  file", "bytes", "brotli");
    for name in &files {
        let bytes = fs::read(dist.join(name))?;
        let later = LATER.iter().find(|(later, _)| name.starts_with(later));
        match later {
            Some((_, reason)) => println!("{:>10} {:>10}  {name} ({reason})", bytes.len(), "later"),
            None => {
                let packed = brotli_size(&bytes)?;
                total += packed;
                println!("{:>10} {packed:>10}  {name}", bytes.len());
            }
        }
    }
    let share = total as f64 / BUDGET as f64 * 100.0;
    println!(
        "{:>10} {total:>10}  first visit: {share:.0} % of the budget of {BUDGET} bytes",
        ""
    );
    if total > BUDGET {
        bail!(
            "a first visit downloads {total} bytes of brotli, {} over the budget of {BUDGET}",
            total - BUDGET
        );
    }
    Ok(())
}

/// The page's files by name, with `/` between folders, whatever the system.
pub fn list_files(top: &Path, folder: &Path, files: &mut Vec<String>) -> Result<()> {
    for entry in
        fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))?
    {
        let path = entry?.path();
        if path.is_dir() {
            list_files(top, &path, files)?;
        } else {
            let name = path.strip_prefix(top)?;
            let parts: Vec<_> = name.iter().map(|part| part.to_string_lossy()).collect();
            files.push(parts.join("/"));
        }
    }
    Ok(())
}

/// The length of the bytes packed by brotli at its best: quality 11, window 22.
fn brotli_size(bytes: &[u8]) -> Result<usize> {
    let parameters = brotli::enc::BrotliEncoderParams {
        quality: 11,
        lgwin: 22,
        size_hint: bytes.len(),
        ..Default::default()
    };
    let mut packed = Vec::new();
    brotli::BrotliCompress(&mut &bytes[..], &mut packed, &parameters)?;
    Ok(packed.len())
}

/// Downloads the crates of the lock file. Trunk itself is told to stay offline, so that it never
/// downloads a tool of its own choice, and it hands that on to cargo.
fn fetch_crates(shell: &Shell) -> Result<()> {
    shell
        .run(shell.cargo().args(["fetch", "--locked"]))
        .context(
            "the crates of Cargo.lock cannot be fetched; if it is out of date, run `cargo check`",
        )
}

fn trunk(shell: &Shell, toolbox: &Toolbox) -> Result<Command> {
    let mut command = shell.command(toolbox.program("trunk"));
    toolbox.equip(&mut command);
    command.env("TRUNK_SKIP_VERSION_CHECK", "true");
    split::stand_in(shell, toolbox, &mut command)?;
    Ok(command)
}

/// The port asked for, or the first free one; an error when the one asked for is taken.
fn free_port(asked: Option<u16>) -> Result<u16> {
    let free = |port: u16| TcpListener::bind((Ipv4Addr::LOCALHOST, port)).is_ok();
    match asked {
        Some(0) => bail!("--port takes a number from 1 to 65535, not 0"),
        Some(port) if free(port) => Ok(port),
        Some(port) => bail!("port {port} is taken: name another with --port, or none"),
        None => (FIRST_PORT..FIRST_PORT + 100)
            .find(|port| free(*port))
            .with_context(|| format!("no port from {FIRST_PORT} on is free: name one with --port")),
    }
}

/// Whether a browser can be opened here: on a desktop that has a way to open addresses.
fn has_browser() -> bool {
    if cfg!(any(target_os = "macos", target_os = "windows")) {
        return true;
    }
    let desktop = ["DISPLAY", "WAYLAND_DISPLAY"]
        .iter()
        .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()));
    desktop && !crate::shell::on_path("xdg-open").is_empty()
}

/// Goes on as the command, so that whoever stops this program stops the server and leaves nothing
/// behind.
#[cfg(unix)]
fn become_command(_shell: &Shell, mut command: Command) -> Result<()> {
    use std::os::unix::process::CommandExt;
    Err(command.exec()).context("trunk does not start")
}

/// Runs the command to its end, where a program cannot be replaced by another.
#[cfg(not(unix))]
fn become_command(shell: &Shell, mut command: Command) -> Result<()> {
    shell.run(&mut command)
}

#[cfg(test)]
mod tests {
    use super::{brotli_size, free_port};
    use std::net::{Ipv4Addr, TcpListener};

    #[test]
    fn brotli_packs_what_repeats() {
        let size = brotli_size(&[b'a'; 10_000]).expect("memory takes everything");
        assert!(size < 50, "{size} bytes");
    }

    #[test]
    fn refuses_a_port_that_is_taken() {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("some port is free");
        let port = listener.local_addr().expect("it is bound").port();
        let message = free_port(Some(port)).expect_err("it is taken").to_string();
        assert!(message.contains(&port.to_string()), "{message}");
    }
}
