//! `manuals` and `completions`: the manual pages of every command and the tab completions of every shell, all into one folder or one
//! of them to standard output. Knows the command line and nothing of what its commands do.

use std::path::PathBuf;

use clap::{Args, Command, ValueEnum as _};
use clap_complete::Shell;
use clap_mangen::Man;
use cockpit_cards::output::write::write_all;

use super::{Outcome, command_line, machine_failed, say_data, say_done};

const NAME: &str = "cockpit-cards";
/// The section of the manual that commands are in, on every system that has one.
const SECTION: &str = "1";

#[derive(Args)]
pub struct Manuals {
    /// The folder to write into: manual pages into man1 there, completions into completions
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

impl Manuals {
    pub fn run(self) -> Outcome {
        let mut command = command_line();
        command.build();
        let mut files = Vec::new();
        if let Err(error) = pages(&command, NAME, &mut files) {
            return machine_failed("the manual pages could not be made", &error);
        }
        let pages = files.len();
        files.extend(Shell::value_variants().iter().map(|shell| (file_of(*shell), completions(*shell))));
        if let Err(error) = write_all(&self.folder, &files) {
            return machine_failed("nothing is certain to be written", &error);
        }
        let folder = self.folder.display();
        let shells = files.len() - pages;
        say_done(&format!(
            "wrote {pages} manual pages into {folder}/man1 and the completions of {shells} shells into {folder}/completions\n"
        ))
    }
}

#[derive(Args)]
pub struct Completions {
    /// The shell that completes
    shell: Shell,
}

impl Completions {
    pub fn run(self) -> Outcome {
        say_data(&String::from_utf8_lossy(&completions(self.shell)))
    }
}

fn completions(shell: Shell) -> Vec<u8> {
    let mut bytes = Vec::new();
    clap_complete::generate(shell, &mut command_line(), NAME, &mut bytes);
    bytes
}

/// Where a shell looks for the completions of this program, in a folder of them.
fn file_of(shell: Shell) -> String {
    use clap_complete::Generator as _;
    format!("completions/{}", shell.file_name(NAME))
}

/// The page of a command and those of the commands below it, each under the name that `man` knows it by.
fn pages(command: &Command, name: &str, files: &mut Vec<(String, Vec<u8>)>) -> std::io::Result<()> {
    let mut page = Vec::new();
    let without = command.clone().after_help(clap::builder::Resettable::Reset);
    let source = concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION"));
    Man::new(without).title(name).section(SECTION).source(source).render(&mut page)?;
    page.extend(examples(command).as_bytes());
    files.push((format!("man1/{name}.{SECTION}"), page));
    // The help of a command stands on its own page.
    for below in command.get_subcommands().filter(|below| below.get_name() != "help") {
        pages(below, &format!("{name}-{}", below.get_name()), files)?;
    }
    Ok(())
}

/// The section of a page with the examples of its command, in the letters of the language that such pages are written in.
fn examples(command: &Command) -> String {
    let Some(help) = command.get_after_help() else { return String::new() };
    let lines = help.to_string();
    let lines = lines.lines().skip(1).map(|line| {
        let line = line.trim_start().replace('\\', "\\e").replace('-', "\\-").replace('\'', "\\(aq");
        format!("{line}\n")
    });
    format!(".SH EXAMPLES\n.nf\n{}.fi\n", lines.collect::<String>())
}
