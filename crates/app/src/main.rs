//! The program `plumbray`.

use clap::Parser as _;

fn main() -> anyhow::Result<()> {
    plumbray::command_line::CommandLine::parse().run(&mut std::io::stdout().lock())
}
