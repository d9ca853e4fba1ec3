//! Man pages and shell completions, from the command line's own definition.

use super::File;
use anyhow::Context as _;
use clap::{Command, CommandFactory as _};
use clap_complete::Shell;

#[path = "../../../stumpbook/src/args.rs"]
#[cfg_attr(
    not(test),
    expect(
        dead_code,
        reason = "only the surface is looked at here; nothing is run"
    )
)]
mod args;

/// One man page for the program and one for each command, as `man/NAME.1`.
///
/// # Errors
/// When a page cannot be made.
pub(super) fn man_pages() -> anyhow::Result<Vec<File>> {
    let folder = tempfile::tempdir()?;
    let command = args::Args::command().disable_help_subcommand(true);
    clap_mangen::generate_to(with_examples(command), folder.path())
        .context("cannot make the man pages")?;
    let mut pages = Vec::new();
    for page in std::fs::read_dir(folder.path())? {
        let page = page?;
        let name = page.file_name().to_string_lossy().into_owned();
        pages.push(File::new(
            &format!("man/{name}"),
            std::fs::read(page.path())?,
        ));
    }
    pages.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(pages)
}

/// Examples stand before the help of a command; a man page has a part after it
/// for them.
fn with_examples(command: Command) -> Command {
    let texts = [command.get_before_help(), command.get_after_help()];
    let text: Vec<String> = texts
        .into_iter()
        .flatten()
        .map(ToString::to_string)
        .collect();
    let command = command.mut_subcommands(with_examples);
    if text.is_empty() {
        command
    } else {
        command.after_help(text.join("\n\n"))
    }
}

/// Completions for the shells that most people have, as `completions/NAME`.
pub(super) fn completions() -> Vec<File> {
    [
        (Shell::Bash, "stumpbook.bash"),
        (Shell::Zsh, "_stumpbook"),
        (Shell::Fish, "stumpbook.fish"),
        (Shell::PowerShell, "stumpbook.ps1"),
    ]
    .into_iter()
    .map(|(shell, name)| {
        let mut text = Vec::new();
        clap_complete::generate(shell, &mut args::Args::command(), "stumpbook", &mut text);
        File::new(&format!("completions/{name}"), text)
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(file: &File) -> String {
        String::from_utf8(file.bytes.clone()).unwrap()
    }

    #[test]
    fn every_command_has_a_man_page_with_its_options_and_examples() {
        let pages = man_pages().unwrap();
        for command in args::Args::command().get_subcommands() {
            let name = format!("man/stumpbook-{}.1", command.get_name());
            let page = pages.iter().find(|page| page.path == name);
            let page = text(page.unwrap_or_else(|| panic!("no {name}"))).replace('\\', "");
            for option in command.get_arguments().filter_map(clap::Arg::get_long) {
                assert!(page.contains(&format!("--{option}")), "{name}: {option}");
            }
            if command.get_before_help().is_some() {
                assert!(page.contains("Examples:"), "{name}");
            }
        }
    }

    #[test]
    fn completions_know_every_command() {
        for file in completions() {
            let script = text(&file);
            for command in args::Args::command().get_subcommands() {
                assert!(script.contains(command.get_name()), "{}", file.path);
            }
        }
    }
}
