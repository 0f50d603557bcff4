//! Airpath's automation: `cargo xtask serve`, `test`, `build`, `size`, `bench` and
//! `reference`.
//!
//! One file a job: `tools` holds the table of pinned tools and installs what is missing, `shell`
//! runs programs, `page` makes, serves and weighs the web page, `tidy` checks the house rules, and
//! `steps` is the list of everything that `cargo xtask test` runs.

mod bench;
mod fuzz;
mod icons;
mod offline;
mod one_file;
mod page;
mod reference;
mod shell;
mod split;
mod steps;
mod tidy;
mod tools;

use anyhow::{Context, Result, bail};
use shell::Shell;
use std::process::ExitCode;

const HELP: &str = "\
Airpath's automation. Tools that are missing are installed first.

  cargo xtask serve [--port N] [--no-open]    build the page and serve it on this machine
  cargo xtask test  [--only STEP] [--long]    run every check, or one step of them;
                                              --long adds the slow ones
  cargo xtask build                           make the page in target/dist
  cargo xtask bundle [--no-build]             make the page as one file, target/airpath.html;
                                              --no-build packs what is in target/dist
  cargo xtask icons                           draw the icons in web/icons again
  cargo xtask size                            weigh the page in target/dist against its budget
  cargo xtask bench [--only PART] [--check]   measure instructions, native and page, and write
                                              tests/BENCHMARKS.md; --check fails where
                                              instructions have risen, and writes nothing
  cargo xtask reference [--only NAME] [--write]
                                              make the reference rows and the second solution of
                                              the match again, and fail where they differ from
                                              what is kept; NAME is rows or a build's name;
                                              --write keeps the new ones
  cargo xtask help                            this text
";

fn main() -> ExitCode {
    if let Some(code) = split::as_bindgen() {
        return code;
    }
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let shell = Shell::new();
    match dispatch(&shell, &arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{} {error:#}", shell.red("error:"));
            ExitCode::FAILURE
        }
    }
}

fn dispatch(shell: &Shell, arguments: &[String]) -> Result<()> {
    let mut rest = arguments.iter().map(String::as_str);
    match rest.next() {
        Some("serve") => {
            let mut options = page::ServeOptions::default();
            while let Some(option) = rest.next() {
                match option {
                    "--no-open" => options.open = false,
                    "--port" => {
                        let value = rest.next().context("--port needs a number after it")?;
                        options.port = Some(value.parse().with_context(|| {
                            format!("--port takes a number from 1 to 65535, not \"{value}\"")
                        })?);
                    }
                    other => bail!("serve has no option \"{other}\"\n\n{HELP}"),
                }
            }
            page::serve(shell, &options)
        }
        Some("test") => {
            let mut options = steps::Options::default();
            while let Some(option) = rest.next() {
                match option {
                    "--long" => options.long = true,
                    "--only" => {
                        let value = rest.next().context("--only needs a step's name after it")?;
                        options.only = Some(value.to_owned());
                    }
                    other => bail!("test has no option \"{other}\"\n\n{HELP}"),
                }
            }
            steps::test(shell, &options)
        }
        Some("build") => {
            no_more("build", rest.next())?;
            let toolbox = tools::Toolbox::ready(shell, page::TOOLS)?;
            page::build(shell, &toolbox)
        }
        Some("bundle") => {
            let build = match rest.next() {
                None => true,
                Some("--no-build") => false,
                Some(other) => bail!("bundle has no option \"{other}\"\n\n{HELP}"),
            };
            one_file::bundle(shell, build)
        }
        // Trunk calls this when it has made the page; see Trunk.toml.
        Some("finish") => {
            no_more("finish", rest.next())?;
            offline::finish(shell)
        }
        Some("icons") => {
            no_more("icons", rest.next())?;
            icons::draw_all(shell)
        }
        Some("size") => {
            no_more("size", rest.next())?;
            page::size(shell)
        }
        Some("bench") => {
            let mut options = bench::Options::default();
            while let Some(option) = rest.next() {
                match option {
                    "--check" => options.check = true,
                    "--only" => {
                        let value = rest.next().context("--only needs a part's name after it")?;
                        options.only = Some(value.to_owned());
                    }
                    other => bail!("bench has no option \"{other}\"\n\n{HELP}"),
                }
            }
            bench::bench(shell, &options)
        }
        Some("reference") => {
            let mut options = reference::Options::default();
            while let Some(option) = rest.next() {
                match option {
                    "--write" => options.write = true,
                    "--only" => {
                        let value = rest.next().context("--only needs a name after it")?;
                        options.only = Some(value.to_owned());
                    }
                    other => bail!("reference has no option \"{other}\"\n\n{HELP}"),
                }
            }
            let toolbox = tools::Toolbox::ready(shell, reference::TOOLS)?;
            reference::run(shell, &toolbox, &options)
        }
        Some("help" | "--help" | "-h") => {
            print!("{HELP}");
            Ok(())
        }
        Some(other) => bail!("there is no command \"{other}\"\n\n{HELP}"),
        None => bail!("name a command\n\n{HELP}"),
    }
}

fn no_more(command: &str, extra: Option<&str>) -> Result<()> {
    match extra {
        None => Ok(()),
        Some(extra) => bail!("{command} takes no options, but was given \"{extra}\""),
    }
}
