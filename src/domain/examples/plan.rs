//! tmp
#![allow(clippy::all, clippy::pedantic, clippy::disallowed_methods, clippy::unwrap_used, clippy::print_stdout)]
use wormrota_domain::rota::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let f: format::InstanceFile = serde_json::from_slice(&std::fs::read(&a[1]).unwrap()).unwrap();
    let t = std::time::Instant::now();
    let s = Snapshot::parse(f.read().unwrap()).unwrap();
    let args: Vec<f64> = a[4..].iter().map(|x| x.parse().unwrap()).collect();
    let plan = try_it::anneal(s, a[3].parse().unwrap(), &args, || t.elapsed().as_secs_f64());
    std::fs::write(&a[2], serde_json::to_vec(&format::SolutionFile::from(&plan)).unwrap()).unwrap();
}
