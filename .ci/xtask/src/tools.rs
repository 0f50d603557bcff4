//! The tools that building and testing need: one table of pins, and what installs each of them.
//!
//! A tool counts as there when it runs and says the right version, never because a file exists.
//! What cargo installs goes to a folder of its own for each version, first under another name and
//! renamed when it is complete, so that an interrupted installation is never taken for a tool.

use crate::shell::{Shell, on_path, version_line};
use anyhow::{Context, Result, bail};
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A tool: its name here, what it is for, and where it comes from.
pub struct Tool {
    /// What the steps call it.
    pub name: &'static str,
    /// Why it is needed, for messages.
    pub purpose: &'static str,
    source: Source,
}

enum Source {
    /// A component of the Rust toolchain and the cargo command that shows it is there.
    RustComponent {
        component: &'static str,
        command: &'static str,
    },
    /// The standard library for a target of the Rust toolchain.
    RustTarget(&'static str),
    /// A crate with programs, installed by cargo, in exactly this version.
    Crate {
        package: &'static str,
        version: &'static str,
        programs: &'static [&'static str],
    },
    /// A program of the system, in this major version or newer; `debian` is the package that has
    /// it. The variable, where there is one, names the program and wins over the path.
    System {
        programs: &'static [&'static str],
        variable: Option<&'static str>,
        minimum: u64,
        debian: &'static str,
    },
    /// A program of the system that tells no version: it counts as there when it prints its help.
    Helper {
        program: &'static str,
        debian: &'static str,
    },
    /// The npm packages that a folder's lock file pins, and a program of theirs where one is used.
    NpmFolder {
        folder: &'static str,
        program: Option<&'static str>,
    },
    /// Python 3 with what makes virtual environments; `debian` is the package that has it.
    Python { debian: &'static str },
    /// Python libraries in a virtual environment of their own, as files of the repository pin them.
    PythonPackages {
        requirements: &'static [&'static str],
        constraints: &'static str,
    },
}

/// The oldest Python that the pinned libraries run on: 3 and this.
const PYTHON_MINOR: u64 = 11;

/// The version of `wasm-bindgen` that the page is built with; `Cargo.lock` must say the same.
pub const WASM_BINDGEN: &str = "0.2.129";

/// The version of `gungraun` that `core/Cargo.toml` names: its runner must be the same.
const GUNGRAUN: &str = "0.20.0";

/// Every tool, in the order in which they are installed.
///
/// The versions of npm packages stand in the `package.json` of their folder, where npm reads them.
/// wasm-opt comes from npm and not from the system, because an old one (Debian 12 has 108) writes
/// a page that does not start: it exports the wrong table.
pub const TABLE: &[Tool] = &[
    Tool {
        name: "rustfmt",
        purpose: "checks the layout of the code",
        source: Source::RustComponent {
            component: "rustfmt",
            command: "fmt",
        },
    },
    Tool {
        name: "clippy",
        purpose: "checks the code for common mistakes",
        source: Source::RustComponent {
            component: "clippy",
            command: "clippy",
        },
    },
    Tool {
        name: "wasm-target",
        purpose: "compiles the page for browsers",
        source: Source::RustTarget("wasm32-unknown-unknown"),
    },
    Tool {
        name: "chromium",
        purpose: "runs the browser tests",
        source: Source::System {
            programs: &[
                "chromium",
                "chromium-browser",
                "google-chrome-stable",
                "google-chrome",
            ],
            variable: Some("CHROMIUM"),
            minimum: 120,
            debian: "chromium",
        },
    },
    Tool {
        name: "chromedriver",
        purpose: "runs the wasm tests in the browser",
        source: Source::System {
            programs: &["chromedriver"],
            variable: Some("CHROMEDRIVER"),
            minimum: 120,
            debian: "chromium-driver",
        },
    },
    Tool {
        name: "firefox",
        purpose: "runs the page in a second engine",
        source: Source::System {
            programs: &["firefox-esr", "firefox"],
            variable: Some("FIREFOX"),
            minimum: 128,
            debian: "firefox-esr",
        },
    },
    Tool {
        name: "webkit-driver",
        purpose: "runs the page in a third engine",
        source: Source::Helper {
            program: "WebKitWebDriver",
            debian: "webkit2gtk-driver",
        },
    },
    Tool {
        name: "xvfb",
        purpose: "is the display that the third engine draws on",
        source: Source::Helper {
            program: "Xvfb",
            debian: "xvfb",
        },
    },
    Tool {
        name: "node",
        purpose: "runs wasm-opt and drives the browser tests",
        source: Source::System {
            programs: &["node"],
            variable: None,
            minimum: 20,
            debian: "nodejs",
        },
    },
    Tool {
        name: "npm",
        purpose: "installs wasm-opt and the packages of the browser tests",
        source: Source::System {
            programs: &["npm"],
            variable: None,
            minimum: 9,
            debian: "npm",
        },
    },
    Tool {
        name: "wasm-opt",
        purpose: "makes the page smaller",
        source: Source::NpmFolder {
            folder: ".ci/wasm-opt",
            program: Some("wasm-opt"),
        },
    },
    Tool {
        name: "browser-packages",
        purpose: "drives the browser and checks accessibility",
        source: Source::NpmFolder {
            folder: "tests/browser",
            program: None,
        },
    },
    Tool {
        name: "esbuild",
        purpose: "makes the page smaller, and one file",
        source: Source::NpmFolder {
            folder: ".ci/one-file",
            program: Some("esbuild"),
        },
    },
    Tool {
        name: "wasm-bindgen",
        purpose: "writes the page's JavaScript side, and runs the wasm tests",
        source: Source::Crate {
            package: "wasm-bindgen-cli",
            version: WASM_BINDGEN,
            programs: &["wasm-bindgen", "wasm-bindgen-test-runner"],
        },
    },
    Tool {
        name: "valgrind",
        purpose: "counts instructions",
        source: Source::System {
            programs: &["valgrind"],
            variable: None,
            minimum: 3,
            debian: "valgrind",
        },
    },
    Tool {
        name: "gungraun-runner",
        purpose: "runs the counted benchmarks under valgrind",
        source: Source::Crate {
            package: "gungraun-runner",
            version: GUNGRAUN,
            programs: &["gungraun-runner"],
        },
    },
    Tool {
        name: "cargo-deny",
        purpose: "checks licences, duplicates and sources of the dependencies",
        source: Source::Crate {
            package: "cargo-deny",
            version: "0.20.2",
            programs: &["cargo-deny"],
        },
    },
    Tool {
        name: "python",
        purpose: "makes the reference rows and the second solution again",
        source: Source::Python {
            debian: "python3-venv",
        },
    },
    Tool {
        name: "reference-packages",
        purpose: "are what the reference rows and the second solution are made with",
        source: Source::PythonPackages {
            requirements: &[
                "tests/reference/rows/requirements.txt",
                "tests/reference/match/requirements.txt",
            ],
            constraints: "tests/reference/constraints.txt",
        },
    },
    Tool {
        name: "trunk",
        purpose: "builds and serves the page",
        source: Source::Crate {
            package: "trunk",
            version: "0.21.14",
            programs: &["trunk"],
        },
    },
];

/// A tool that runs in the right version.
#[derive(Clone)]
struct Found {
    version: String,
    program: Option<PathBuf>,
}

/// The tools that were asked for: found, or the reason why not.
pub struct Toolbox {
    entries: BTreeMap<&'static str, Result<Found, String>>,
}

impl Toolbox {
    /// Looks for the named tools and installs those that are missing.
    ///
    /// A tool that cannot be had does not stop the others: see [`Toolbox::require`].
    ///
    /// # Errors
    /// When a name is not in the table, or the cache folder cannot be made.
    pub fn prepare(shell: &Shell, names: &[&str]) -> Result<Self> {
        for name in names {
            if !TABLE.iter().any(|tool| tool.name == *name) {
                bail!("there is no tool \"{name}\" in the table of tools");
            }
        }
        let wanted = || TABLE.iter().filter(|tool| names.contains(&tool.name));
        if wanted().any(|tool| look(shell, tool).is_err()) {
            // Two runs at once would install the same thing twice, so the second waits and looks again.
            let folder = cache_folder()?;
            fs::create_dir_all(&folder)
                .with_context(|| format!("the folder {} cannot be made", folder.display()))?;
            let lock = fs::File::create(folder.join("lock"))?;
            if lock.try_lock().is_err() {
                println!("Waiting for another run that is installing tools …");
                lock.lock()?;
            }
            let missing: Vec<&Tool> = wanted().filter(|tool| look(shell, tool).is_err()).collect();
            let troubles = install_all(shell, &missing);
            let entries = wanted()
                .map(|tool| (tool.name, found_after(shell, tool, &troubles)))
                .collect();
            return Ok(Self { entries });
        }
        let entries = wanted()
            .map(|tool| (tool.name, look(shell, tool)))
            .collect();
        Ok(Self { entries })
    }

    /// As [`Toolbox::prepare`], and all of them must be there.
    ///
    /// # Errors
    /// When a tool is missing and cannot be installed.
    pub fn ready(shell: &Shell, names: &[&str]) -> Result<Self> {
        let toolbox = Self::prepare(shell, names)?;
        toolbox.require(names)?;
        Ok(toolbox)
    }

    /// Fails with the reasons if any of the named tools is missing.
    ///
    /// # Errors
    /// One message with a line for each missing tool.
    pub fn require(&self, names: &[&str]) -> Result<()> {
        let reasons: Vec<String> = names
            .iter()
            .filter_map(|name| match self.entries.get(name) {
                Some(Ok(_)) => None,
                Some(Err(reason)) => Some(format!("{name}: {reason}")),
                None => Some(format!("{name}: nothing looked for it")),
            })
            .collect();
        if reasons.is_empty() {
            Ok(())
        } else {
            bail!("tools are missing\n  {}", reasons.join("\n  "))
        }
    }

    /// Prints a line for each tool, and says whether all are there.
    pub fn report(&self, shell: &Shell) -> bool {
        for tool in TABLE {
            match self.entries.get(tool.name) {
                Some(Ok(found)) => println!("{:>17}  {}", tool.name, found.version),
                Some(Err(reason)) => {
                    println!("{:>17}  {} {reason}", tool.name, shell.red("missing:"));
                }
                None => {}
            }
        }
        self.entries.values().all(Result::is_ok)
    }

    /// Puts the tools on the command's path, where trunk and cargo look for them.
    pub fn equip(&self, command: &mut Command) {
        let mut folders: Vec<PathBuf> = Vec::new();
        for (name, entry) in &self.entries {
            let Ok(Found {
                program: Some(program),
                ..
            }) = entry
            else {
                continue;
            };
            match *name {
                "chromium" => {
                    command.env("CHROMIUM", program);
                }
                "chromedriver" => {
                    command.env("CHROMEDRIVER", program);
                }
                "firefox" => {
                    command.env("FIREFOX", program);
                }
                _ => {}
            }
            // The folders of the system are on the path already, and in the owner's order.
            let ours = match TABLE.iter().find(|tool| tool.name == *name) {
                Some(Tool {
                    source: Source::System { .. } | Source::Helper { .. } | Source::Python { .. },
                    ..
                })
                | None => false,
                Some(_) => true,
            };
            if ours && let Some(folder) = program.parent() {
                folders.push(folder.to_owned());
            }
        }
        folders.extend(std::env::split_paths(
            &std::env::var_os("PATH").unwrap_or_default(),
        ));
        if let Ok(path) = std::env::join_paths(folders) {
            command.env("PATH", path);
        }
    }

    /// The program of a tool; its bare name when it was not looked for.
    pub fn program(&self, name: &str) -> OsString {
        match self.entries.get(name) {
            Some(Ok(Found {
                program: Some(program),
                ..
            })) => program.clone().into_os_string(),
            _ => OsString::from(name),
        }
    }
}

/// Where cargo's tools are kept: `$AIRPATH_TOOLS`, or `airpath/tools` in the user's cache folder.
fn cache_folder() -> Result<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
    if let Some(folder) = set("AIRPATH_TOOLS") {
        return std::path::absolute(PathBuf::from(folder)).context("AIRPATH_TOOLS is not a folder");
    }
    let base = set("XDG_CACHE_HOME").map(PathBuf::from).or_else(|| {
        set("HOME")
            .or_else(|| set("USERPROFILE"))
            .map(|home| PathBuf::from(home).join(".cache"))
    });
    match base {
        Some(base) => Ok(base.join("airpath").join("tools")),
        None => bail!("no home folder: set AIRPATH_TOOLS to a folder for the tools"),
    }
}

/// The folder of one crate's programs in one version.
fn crate_folder(package: &str, version: &str) -> Result<PathBuf> {
    Ok(cache_folder()?.join(format!("{package}-{version}")))
}

/// The version in a line such as `trunk 0.21.14`, `v20.20.2` or `valgrind-3.19.0`: the first word
/// that is a number.
fn version_in(line: &str) -> Option<&str> {
    line.split_whitespace()
        .map(|word| word.strip_prefix("valgrind-").unwrap_or(word))
        .map(|word| word.strip_prefix('v').unwrap_or(word))
        .find(|word| word.starts_with(|first: char| first.is_ascii_digit()))
}

/// The number before the first dot of a version.
fn major(version: &str) -> Option<u64> {
    version.split('.').next()?.parse().ok()
}

/// Looks for a tool; the error says what was found instead.
fn look(shell: &Shell, tool: &Tool) -> Result<Found, String> {
    match &tool.source {
        Source::RustComponent { command, .. } => {
            let output = shell.cargo().args([command, "--version"]).output();
            match output {
                Ok(output) if output.status.success() => Ok(Found {
                    version: String::from_utf8_lossy(&output.stdout).trim().to_owned(),
                    program: None,
                }),
                _ => Err(format!("`cargo {command} --version` does not run")),
            }
        }
        Source::RustTarget(target) => {
            let output = shell
                .command("rustc")
                .args(["--print", "target-libdir", "--target", target])
                .output()
                .map_err(|error| format!("rustc does not run: {error}"))?;
            let folder = PathBuf::from(String::from_utf8_lossy(&output.stdout).trim());
            let mut files = fs::read_dir(&folder)
                .map_err(|_| format!("Rust has no standard library for {target}"))?;
            if files.any(|file| file.is_ok_and(|file| is_core_library(&file.path()))) {
                Ok(Found {
                    version: (*target).to_owned(),
                    program: None,
                })
            } else {
                Err(format!("Rust has no standard library for {target}"))
            }
        }
        Source::Crate {
            package,
            version,
            programs,
        } => look_for_crate(package, version, programs),
        Source::System {
            programs,
            variable,
            minimum,
            ..
        } => look_in_system(programs, *variable, *minimum),
        Source::Helper { program, .. } => look_for_helper(program),
        Source::NpmFolder { folder, program } => {
            let folder = shell.root.join(folder);
            let pins = npm_pins(&folder).map_err(|error| format!("{error:#}"))?;
            if !fs::read_to_string(npm_stamp(&folder)).is_ok_and(|stamp| stamp == pins) {
                return Err("the packages are not those of the lock file".to_owned());
            }
            let Some(program) = program else {
                return Ok(Found {
                    version: "as pinned in the lock file".to_owned(),
                    program: None,
                });
            };
            let program = folder.join("node_modules").join(".bin").join(program);
            match version_line(&program) {
                Some(line) => Ok(Found {
                    version: line,
                    program: Some(program),
                }),
                None => Err(format!("{} does not run", program.display())),
            }
        }
        Source::Python { .. } => look_for_python(),
        Source::PythonPackages {
            requirements,
            constraints,
        } => {
            let environment = PythonEnvironment::of(shell, requirements, constraints)?;
            let complete = fs::read_to_string(environment.stamp())
                .is_ok_and(|stamp| stamp == environment.pins);
            match version_line(&environment.program()) {
                Some(line) if complete => Ok(Found {
                    version: format!("as pinned, for {line}"),
                    program: Some(environment.program()),
                }),
                _ => Err("the Python libraries are not those of the requirements".to_owned()),
            }
        }
    }
}

/// A Python that is new enough and can make virtual environments.
fn look_for_python() -> Result<Found, String> {
    let mut reason = "python3 is not installed".to_owned();
    for program in ["python3", "python"].into_iter().flat_map(on_path) {
        // Debian keeps `ensurepip`, without which an environment has no pip, in another package.
        let output = Command::new(&program)
            .arg("-c")
            .arg("import ensurepip, platform, venv; print(platform.python_version())")
            .output();
        let version = match output {
            Ok(output) if output.status.success() => {
                String::from_utf8_lossy(&output.stdout).trim().to_owned()
            }
            _ => {
                reason = format!(
                    "{} makes no virtual environments (it needs its modules venv and ensurepip)",
                    program.display()
                );
                continue;
            }
        };
        if python_is_new_enough(&version) {
            return Ok(Found {
                version,
                program: Some(program),
            });
        }
        reason = format!(
            "{} is Python {version}, and 3.{PYTHON_MINOR} or newer is needed",
            program.display()
        );
    }
    Err(reason)
}

fn python_is_new_enough(version: &str) -> bool {
    let mut numbers = version.split('.').map(|number| number.parse().ok());
    let (first, second) = (numbers.next().flatten(), numbers.next().flatten());
    first == Some(3) && second.is_some_and(|minor: u64| minor >= PYTHON_MINOR)
}

/// A virtual environment in the cache, in a folder of its own for each Python and list of pins.
struct PythonEnvironment {
    folder: PathBuf,
    pins: String,
    /// The system's Python, which makes it.
    python: PathBuf,
}

impl PythonEnvironment {
    /// The environment that belongs to the repository's pins, made or not.
    fn of(shell: &Shell, requirements: &[&str], constraints: &str) -> Result<Self, String> {
        let python = look_for_python().map_err(|_| "there is no Python for them".to_owned())?;
        let mut pins = format!("Python {}\n", python.version);
        for file in requirements.iter().chain([&constraints]) {
            let text = fs::read_to_string(shell.root.join(file))
                .map_err(|error| format!("{file} cannot be read: {error}"))?;
            pins.push_str(&format!("\n{file}\n{text}"));
        }
        let mut hasher = DefaultHasher::new();
        pins.hash(&mut hasher);
        let cache = cache_folder().map_err(|error| format!("{error:#}"))?;
        Ok(Self {
            folder: cache.join(format!("python-{:016x}", hasher.finish())),
            pins,
            python: python.program.unwrap_or_else(|| PathBuf::from("python3")),
        })
    }

    fn program(&self) -> PathBuf {
        if cfg!(windows) {
            self.folder.join("Scripts").join("python.exe")
        } else {
            self.folder.join("bin").join("python")
        }
    }

    /// A copy of the pins that is written after a complete installation.
    fn stamp(&self) -> PathBuf {
        self.folder.join("installed.txt")
    }
}

fn is_core_library(path: &Path) -> bool {
    path.file_name()
        .is_some_and(|name| name.to_string_lossy().starts_with("libcore-"))
}

fn look_for_crate(package: &str, version: &str, programs: &[&str]) -> Result<Found, String> {
    let cached = crate_folder(package, version).map_err(|error| error.to_string())?;
    let cached = cached.join("bin");
    let first = programs[0];
    let folders = std::iter::once(cached).chain(
        on_path(first)
            .into_iter()
            .filter_map(|file| file.parent().map(Path::to_owned)),
    );
    let mut seen = Vec::new();
    for folder in folders {
        let says = |program: &&str| {
            let file = folder.join(format!("{program}{}", std::env::consts::EXE_SUFFIX));
            version_line(&file)
                .as_deref()
                .and_then(version_in)
                .map(str::to_owned)
        };
        let versions: Vec<Option<String>> = programs.iter().map(says).collect();
        if versions.iter().all(|said| said.as_deref() == Some(version)) {
            return Ok(Found {
                version: version.to_owned(),
                program: Some(folder.join(format!("{first}{}", std::env::consts::EXE_SUFFIX))),
            });
        }
        seen.extend(versions.into_iter().flatten());
    }
    if seen.is_empty() {
        Err(format!("{first} {version} is not installed"))
    } else {
        Err(format!(
            "{first} must be {version}, and {} was found",
            seen.join(", ")
        ))
    }
}

fn look_in_system(
    programs: &[&str],
    variable: Option<&str>,
    minimum: u64,
) -> Result<Found, String> {
    let named = variable.and_then(std::env::var_os).map(PathBuf::from);
    let candidates: Vec<PathBuf> = match &named {
        Some(program) => vec![program.clone()],
        None => programs.iter().flat_map(|name| on_path(name)).collect(),
    };
    let mut reason = format!("{} is not installed", programs[0]);
    for program in candidates {
        let Some(line) = version_line(&program) else {
            reason = format!("{} does not run", program.display());
            continue;
        };
        match version_in(&line).and_then(major) {
            Some(number) if number >= minimum => {
                return Ok(Found {
                    version: line.trim().to_owned(),
                    program: Some(program),
                });
            }
            _ => {
                reason = format!(
                    "{} says \"{}\", and version {minimum} or newer is needed",
                    program.display(),
                    line.trim()
                );
            }
        }
    }
    if let (Some(variable), Some(_)) = (variable, &named) {
        reason = format!("{reason} (named by {variable})");
    }
    Err(reason)
}

fn look_for_helper(program: &str) -> Result<Found, String> {
    let runs = |file: &PathBuf| {
        // Both kinds of dashes are about: X11's programs know one, all others two.
        ["--help", "-help"].iter().any(|help| {
            let output = Command::new(file).arg(help).output();
            output.is_ok_and(|output| output.status.success())
        })
    };
    match on_path(program).into_iter().find(runs) {
        Some(file) => Ok(Found {
            version: "as the system has it".to_owned(),
            program: Some(file),
        }),
        None => Err(format!("{program} is not installed, or does not run")),
    }
}

/// What the npm packages are pinned to: the text of the lock file.
fn npm_pins(folder: &Path) -> Result<String> {
    let file = folder.join("package-lock.json");
    fs::read_to_string(&file).with_context(|| format!("{} cannot be read", file.display()))
}

/// The copy of the lock file that is written after a complete installation. npm removes it, with
/// everything else in the folder, when it begins the next one.
fn npm_stamp(folder: &Path) -> PathBuf {
    folder.join("node_modules").join(".installed-lock.json")
}

/// Looks once more after installing; a failed installation gives its own reason.
fn found_after(
    shell: &Shell,
    tool: &Tool,
    troubles: &BTreeMap<&str, String>,
) -> Result<Found, String> {
    look(shell, tool).map_err(|reason| match troubles.get(tool.name) {
        Some(trouble) if *trouble == reason => reason,
        Some(trouble) => format!("{reason}; {trouble}"),
        None => format!("{reason}, even after its installation"),
    })
}

/// Installs the tools and returns what went wrong, by tool.
fn install_all<'a>(shell: &Shell, missing: &[&'a Tool]) -> BTreeMap<&'a str, String> {
    let mut troubles = BTreeMap::new();
    for tool in missing {
        println!(
            "{}",
            shell.bold(&format!(
                "Installing {}, which {}.",
                tool.name, tool.purpose
            ))
        );
    }
    // The system's packages go first and all at once: the list of packages is fetched only once.
    let mut debian = Vec::new();
    for tool in missing {
        let (package, variable) = match &tool.source {
            Source::System {
                debian, variable, ..
            } => (*debian, *variable),
            Source::Python { debian } => (*debian, None),
            _ => continue,
        };
        match variable.filter(|name| std::env::var_os(name).is_some()) {
            // Another program would not be used, so none is installed.
            Some(variable) => {
                let trouble = format!("correct or unset {variable}");
                troubles.insert(tool.name, trouble);
            }
            None => debian.push(package),
        }
        if let Source::Helper {
            debian: package, ..
        } = &tool.source
        {
            debian.push(*package);
        }
    }
    if !debian.is_empty()
        && let Err(error) = install_debian(shell, &debian)
    {
        for tool in missing {
            if matches!(
                tool.source,
                Source::System { .. } | Source::Helper { .. } | Source::Python { .. }
            ) {
                troubles
                    .entry(tool.name)
                    .or_insert_with(|| format!("{error:#}"));
            }
        }
    }
    for tool in missing {
        let outcome = match &tool.source {
            Source::System { .. } | Source::Helper { .. } | Source::Python { .. } => Ok(()),
            Source::RustComponent { component, .. } => rustup(shell, "component", component),
            Source::RustTarget(target) => rustup(shell, "target", target),
            Source::Crate {
                package, version, ..
            } => install_crate(shell, package, version),
            Source::NpmFolder { folder, .. } => install_npm(shell, folder),
            Source::PythonPackages {
                requirements,
                constraints,
            } => install_python(shell, requirements, constraints),
        };
        if let Err(error) = outcome {
            troubles.insert(tool.name, format!("{error:#}"));
        }
    }
    troubles
}

fn rustup(shell: &Shell, kind: &str, name: &str) -> Result<()> {
    if on_path("rustup").is_empty() {
        bail!(
            "there is no rustup here: add the Rust {kind} {name} the way this Rust was installed"
        );
    }
    shell.run(shell.command("rustup").args([kind, "add", name]))
}

fn install_crate(shell: &Shell, package: &str, version: &str) -> Result<()> {
    let folder = crate_folder(package, version)?;
    let cache = cache_folder()?;
    let partial = cache.join(format!("partial-{package}-{version}"));
    // What cargo compiles is kept until the end, so that an interrupted installation goes on.
    let work = cache.join(format!("work-{package}-{version}"));
    remove_folder(&partial)?;
    println!("This is compiled once, and takes some minutes.");
    let outcome = shell.run(
        shell
            .cargo()
            .args(["install", package, "--version"])
            .arg(format!("={version}"))
            .args(["--locked", "--no-track", "--root"])
            .arg(&partial)
            .arg("--target-dir")
            .arg(&work)
            .env("CARGO_NET_RETRY", "5"),
    );
    outcome?;
    remove_folder(&folder)?;
    fs::rename(&partial, &folder)
        .with_context(|| format!("{} cannot be put in place", folder.display()))?;
    remove_folder(&work)
}

fn remove_folder(folder: &Path) -> Result<()> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(error).with_context(|| format!("{} cannot be removed", folder.display()))
        }
        _ => Ok(()),
    }
}

fn install_debian(shell: &Shell, packages: &[&str]) -> Result<()> {
    if on_path("apt-get").is_empty() {
        bail!(
            "there is no apt-get here: install it yourself (on Debian: {}), and run this again",
            packages.join(" ")
        );
    }
    let root = Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|output| output.stdout.trim_ascii() == b"0");
    if !root && on_path("sudo").is_empty() {
        bail!(
            "apt-get needs root and there is no sudo: run `apt-get install {}` as root, and this again",
            packages.join(" ")
        );
    }
    let privileged = |program: &str| {
        let mut command = if root {
            shell.command("env")
        } else {
            let mut sudo = shell.command("sudo");
            if !std::io::stdin().is_terminal() {
                // Nobody is there to type a password: fail, do not wait.
                sudo.arg("-n");
            }
            sudo.arg("env");
            sudo
        };
        command.args(["DEBIAN_FRONTEND=noninteractive", program]);
        command
    };
    // Completes an earlier installation that was cut short; does nothing when there is none.
    shell.run(privileged("dpkg").args(["--configure", "-a"]))?;
    let patience = [
        "-o",
        "DPkg::Lock::Timeout=300",
        "-o",
        "Acquire::Retries=3",
        "-q",
    ];
    shell.run(privileged("apt-get").args(patience).arg("update"))?;
    shell.run(
        privileged("apt-get")
            .args(patience)
            .args(["install", "-y", "--no-install-recommends"])
            .args(packages),
    )
}

fn install_npm(shell: &Shell, folder: &str) -> Result<()> {
    let folder = shell.root.join(folder);
    shell.run(
        shell
            .command("npm")
            .args(["ci", "--no-audit", "--no-fund", "--ignore-scripts"])
            .current_dir(&folder),
    )?;
    fs::write(npm_stamp(&folder), npm_pins(&folder)?)
        .with_context(|| format!("{} cannot be written", npm_stamp(&folder).display()))
}

fn install_python(shell: &Shell, requirements: &[&str], constraints: &str) -> Result<()> {
    let environment =
        PythonEnvironment::of(shell, requirements, constraints).map_err(anyhow::Error::msg)?;
    // Half an installation has no stamp. An environment cannot be renamed: it knows its own place.
    remove_folder(&environment.folder)?;
    let mut make = shell.command(&environment.python);
    shell.run(make.args(["-m", "venv"]).arg(&environment.folder))?;
    let mut install = shell.command(environment.program());
    install.args(["-m", "pip", "install", "--disable-pip-version-check"]);
    install.args(["--quiet", "--no-input", "--constraint", constraints]);
    for file in requirements {
        install.args(["--requirement", file]);
    }
    shell.run(&mut install)?;
    let mut check = shell.command(environment.program());
    shell.run(check.args(["-m", "pip", "check", "--disable-pip-version-check"]))?;
    fs::write(environment.stamp(), &environment.pins)
        .with_context(|| format!("{} cannot be written", environment.stamp().display()))
}

#[cfg(test)]
mod tests {
    use super::{TABLE, major, python_is_new_enough, version_in};

    #[test]
    fn reads_the_versions_that_programs_print() {
        assert_eq!(version_in("trunk 0.21.14"), Some("0.21.14"));
        assert_eq!(version_in("v20.20.2"), Some("20.20.2"));
        assert_eq!(version_in("wasm-opt version 108"), Some("108"));
        assert_eq!(
            version_in("Chromium 156.0.8078.108 built on Debian"),
            Some("156.0.8078.108")
        );
        assert_eq!(version_in("valgrind-3.19.0"), Some("3.19.0"));
        assert_eq!(version_in("no number here"), None);
        assert_eq!(major("156.0.8078.108"), Some(156));
        assert_eq!(major("108"), Some(108));
    }

    #[test]
    fn knows_an_old_python() {
        assert!(python_is_new_enough("3.11.7") && python_is_new_enough("3.14.0rc1"));
        assert!(!python_is_new_enough("3.9.18") && !python_is_new_enough("2.12.0"));
        assert!(!python_is_new_enough(""));
    }

    #[test]
    fn names_each_tool_once() {
        for (place, tool) in TABLE.iter().enumerate() {
            assert!(TABLE[..place].iter().all(|other| other.name != tool.name));
        }
    }
}
