//! tmp
#![allow(missing_docs, clippy::all, clippy::pedantic, clippy::print_stdout)]
use super::*;
use super::anneal::*;
use super::board::*;
use super::problem::*;
use std::sync::Arc;
pub fn anneal(s: Snapshot, seed: u64, args: &[f64], mut now: impl FnMut() -> f64) -> Plan {
    let p = Arc::new(Problem::new(s));
    let mut a = Anneal::new(&p, Board::new(&p), seed);
    let unit = (0..p.members.len()).map(|m| p.part(m,1)+p.part(m,-1)-2*p.part(m,0)).min().unwrap() as f64;
    let x = args;
    println!("unit {unit} start {:?} t {:.2}", a.best, now());
    let ch = x[0] as u64;
    a.begin(Prices{empty:x[1],change:x[2],fairness:1.0/unit,wish:x[3]}, Cooling{hot:x[4],cold:x[5],chains:ch});
    a.run(ch);
    println!("F {:?} t {:.2}", a.best, now());
    for i in 0..3 {
    let ch = x[6] as u64;
    a.begin(Prices{empty:x[1],change:x[2],fairness:x[7]/unit,wish:1.0}, Cooling{hot:x[8],cold:x[9],chains:ch});
    a.run(ch);
    println!("P {:?} t {:.2} now {:?}", a.best, now(), a.board.score);
    }
    a.best_board().plan()
}
use super::linear::relaxation::*;
use super::linear::dual::*;
use super::score::*;
pub fn lp(s: Snapshot, mut now: impl FnMut() -> f64, vals: &[i64]) {
    let p = Arc::new(Problem::new(s));
    let mut r = Relaxation::new(&p);
    println!("cols {} t {:.2}", r.places.len(), now());
    for (aim, v) in aims(&p.snapshot).iter().zip(vals) {
        r.aim_at(*aim);
        loop {
            let mut e;
            loop { e = r.dual.run(50); if args_v() { println!("  {e:?} steps {} cost {:.4} t {:.2}", r.dual.steps, r.dual.cost(), now()); } 
              if e != End::Unfinished { break; } }
            let c = r.dual.cost() / r.scale_pub() + r.aim_start(*aim) as f64;
            let n = r.separate();
            println!("{aim:?} {e:?} {c:.3} steps {} rows {} +{} t {:.2}", r.dual.steps, r.dual.row_count(), n, now());
            if n == 0 || e == End::Lost { break; }
        }
        r.hold(*aim, if *aim == Aim::Wishes { -*v } else { *v });
    }
}
impl Relaxation { fn scale_pub(&self) -> f64 { self.scale_() } }
fn args_v() -> bool { std::env::var("V").is_ok() }
