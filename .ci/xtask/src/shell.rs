//! Running other programs: each command line is shown before it runs, its output streams through,
//! and a failure names the command.

use anyhow::{Context, Result, bail};
use std::ffi::OsString;
use std::io::{BufRead, BufReader, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Where the repository is, and whether this run may print colours.
pub struct Shell {
    /// The repository's top folder.
    pub root: PathBuf,
    colour: bool,
}

impl Shell {
    /// Finds the repository and looks whether standard output is a terminal.
    pub fn new() -> Self {
        // Cargo sets the variable at run time too; that one is right even after the folder moved.
        let manifest = std::env::var_os("CARGO_MANIFEST_DIR")
            .unwrap_or_else(|| OsString::from(env!("CARGO_MANIFEST_DIR")));
        let manifest = PathBuf::from(manifest);
        let root = manifest.ancestors().nth(2).unwrap_or(&manifest).to_owned();
        let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        Self {
            root,
            colour: std::io::stdout().is_terminal() && !refused,
        }
    }

    /// Whether this run prints colours; most programs see for themselves, some must be told.
    pub fn has_colour(&self) -> bool {
        self.colour
    }

    /// The text in bold, where colours are on.
    pub fn bold(&self, text: &str) -> String {
        self.paint("1", text)
    }

    /// The text in green, where colours are on.
    pub fn green(&self, text: &str) -> String {
        self.paint("32", text)
    }

    /// The text in red, where colours are on.
    pub fn red(&self, text: &str) -> String {
        self.paint("31", text)
    }

    fn paint(&self, code: &str, text: &str) -> String {
        if self.colour {
            format!("\x1b[{code}m{text}\x1b[0m")
        } else {
            text.to_owned()
        }
    }

    /// A command that starts in the repository's top folder, with colours as for this run.
    pub fn command(&self, program: impl AsRef<std::ffi::OsStr>) -> Command {
        let mut command = Command::new(program);
        command.current_dir(&self.root);
        if !self.colour {
            // "true" and not "1": trunk takes the latter for a mistake and stops.
            command.env("NO_COLOR", "true");
            command.env("CARGO_TERM_COLOR", "never");
        }
        command
    }

    /// The cargo that started this run.
    pub fn cargo(&self) -> Command {
        self.command(std::env::var_os("CARGO").unwrap_or_else(|| OsString::from("cargo")))
    }

    /// Runs the command with its output streaming through.
    ///
    /// # Errors
    /// When the command does not start, or ends with anything but success.
    pub fn run(&self, command: &mut Command) -> Result<()> {
        let line = self.announce(command);
        let status = command
            .status()
            .with_context(|| format!("`{line}` does not start"))?;
        if !status.success() {
            bail!("`{line}` failed ({status})");
        }
        Ok(())
    }

    /// Runs a test command with its output streaming through, and counts the tests that passed,
    /// by the closing lines `test result: ok. N passed` of Rust's test harness.
    ///
    /// # Errors
    /// When the command does not start, or ends with anything but success.
    pub fn run_tests(&self, command: &mut Command) -> Result<u64> {
        let line = self.announce(command);
        let mut child = command
            .stdout(Stdio::piped())
            .spawn()
            .with_context(|| format!("`{line}` does not start"))?;
        let mut passed = 0;
        if let Some(output) = child.stdout.take() {
            let mut output = BufReader::new(output);
            let mut bytes = Vec::new();
            while output.read_until(b'\n', &mut bytes)? > 0 {
                std::io::stdout().write_all(&bytes)?;
                passed += tests_passed(&String::from_utf8_lossy(&bytes));
                bytes.clear();
            }
        }
        let status = child.wait()?;
        if !status.success() {
            bail!("`{line}` failed ({status})");
        }
        Ok(passed)
    }

    fn announce(&self, command: &Command) -> String {
        let program = Path::new(command.get_program());
        let program = program.file_name().unwrap_or(program.as_os_str());
        let mut line = program.to_string_lossy().into_owned();
        for argument in command.get_args() {
            line.push(' ');
            line.push_str(&argument.to_string_lossy());
        }
        if let Some(folder) = command.get_current_dir()
            && let Ok(folder) = folder.strip_prefix(&self.root)
            && folder != Path::new("")
        {
            line = format!("{line} (in {})", folder.display());
        }
        println!("{}", self.bold(&format!("$ {line}")));
        line
    }
}

/// The count in a line `test result: ok. 12 passed; 0 failed; …`, and zero in any other line.
fn tests_passed(line: &str) -> u64 {
    line.split_once("test result: ok. ")
        .and_then(|(_, rest)| rest.split_once(" passed"))
        .and_then(|(count, _)| count.parse().ok())
        .unwrap_or(0)
}

/// The first line that a program prints about its version; nothing if it does not run.
pub fn version_line(program: &Path) -> Option<String> {
    let output = Command::new(program)
        .arg("--version")
        .stdin(Stdio::null())
        .output()
        .ok()?;
    if !output.status.success() {
        return None;
    }
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    text.lines().next().map(str::to_owned)
}

/// Every place on the path where a program of this name could be, in order.
pub fn on_path(name: &str) -> Vec<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path)
        .map(|folder| folder.join(format!("{name}{}", std::env::consts::EXE_SUFFIX)))
        .filter(|file| file.is_file())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::tests_passed;

    #[test]
    fn counts_the_closing_line_of_a_test_run() {
        assert_eq!(
            tests_passed("test result: ok. 12 passed; 0 failed; 0 ignored; finished in 0.01s"),
            12
        );
        assert_eq!(tests_passed("test result: FAILED. 3 passed; 1 failed"), 0);
        assert_eq!(tests_passed("running 12 tests"), 0);
    }
}
