//! Opens a film and makes greys of all its pixels by its own window, so often, and says how long each took and what
//! memory the process needed: `open_film FILE TIMES`.

use std::{env, fs, hint::black_box, io::Write as _, path::Path, time::Instant};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = env::args().collect();
    let [_, file, times] = arguments.as_slice() else {
        return Err("say FILE and TIMES".into());
    };
    for _ in 0..times.parse::<usize>()? {
        let begun = Instant::now();
        let film = plumbray_film::open(Path::new(file))?;
        let grey = film.grey();
        let table = grey.named_table(grey.default_window(), false);
        let mut greys = vec![0; film.samples().len()];
        table.apply(film.samples(), &mut greys);
        black_box(&greys);
        writeln!(std::io::stdout(), "{}", begun.elapsed().as_secs_f64())?;
    }
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find(|line| line.starts_with("VmHWM:"));
    writeln!(std::io::stdout(), "{}", peak.unwrap_or_default())?;
    Ok(())
}
