//! tmp
#![allow(clippy::all, clippy::pedantic, clippy::disallowed_methods, clippy::unwrap_used, clippy::print_stdout)]
use wormrota_domain::rota::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let f: format::InstanceFile = serde_json::from_slice(&std::fs::read(&a[1]).unwrap()).unwrap();
    let limit: f64 = a[4].parse().unwrap();
    let t = std::time::Instant::now();
    let s = Snapshot::parse(f.read().unwrap()).unwrap();
    let mut p = Planner::new(s, a[3].parse().unwrap()).unwrap();
    let mut marks = Vec::new();
    let mut last = p.score();
    let mut lp = 0;
    while t.elapsed().as_secs_f64() < limit {
        let done = p.run(1000) == planner::Progress::Proven;
        let np = p.standings().iter().filter(|s| s.proven).count();
        if p.score() != last || np != lp { last = p.score(); lp = np; marks.push((t.elapsed().as_secs_f64(), last, np)); }
        if done { break; }
    }
    if a.len() > 5 { for m in &marks { println!("{:.3} {} {} {} {} p{}", m.0, m.1.empty_places, m.1.changes, m.1.fairness, m.1.wishes, m.2); } }
    print!("{:.3}s steps {} ", t.elapsed().as_secs_f64(), p.steps());
    for s in p.standings() { print!("{} {} (>{}{}) ", s.aim.code(), s.value, s.bound, if s.proven {" proven"} else {""}); }
    println!();
    std::fs::write(&a[2], serde_json::to_vec(&format::SolutionFile::from(&p.plan())).unwrap()).unwrap();
}
