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

use super::exact::*;
use super::score::*;
use super::balance::*;
pub fn lp(s: Snapshot, mut now: impl FnMut() -> f64, vals: &[i64]) {
    let p = Arc::new(Problem::new(s));
    let replan = p.in_force.is_some();
    let start = match p.snapshot.in_force() { None => Board::new(&p), Some(f) => { let mut b = Board::new(&p);
        for (m,t) in &f.places { let (m,t)=(m.0,t.0); if p.candidate.has(m,t) && !b.on[t].contains(&m) && b.clash(m,p.turns[t].day,None)==Clash::Free && b.turn_allows(&Change{turn:t,goes:None,comes:Some(m)}) { b.put(m,t);} } b } };
    let mut a = Anneal::new(&p, start, vals[2] as u64);
    let unit = (0..p.members.len()).map(|m| p.part(m,1)+p.part(m,-1)-2*p.part(m,0)).min().unwrap() as f64;
    let ch = vals[0] as u64;
    println!("start {:?}", a.best);
    if replan { a.begin(Prices{empty:30.0,change:6.0,fairness:0.2/unit,wish:0.01}, Cooling{hot:3.0,cold:0.1,chains:ch}); a.run(ch); }
    else {
    a.begin(Prices{empty:20.0,change:0.0,fairness:1.0/unit,wish:0.01}, Cooling{hot:vals[1] as f64,cold:0.3,chains:ch});
    a.run(ch);
    println!("F {:?} t {:.3}", a.best, now());
    a.begin(Prices{empty:20.0,change:0.0,fairness:5.0/unit,wish:1.0}, Cooling{hot:0.5,cold:0.1,chains:ch});
    a.run(ch); }
    println!("P {:?} t {:.3}", a.best, now());
    if a.best.empty_places == 0 && !replan { let mut b = Balance::new(&p, a.best_board()); let mut n=0; while !b.step() {n+=1;}  println!("flow bound {} steps {n} step {} t {:.3}", b.bound(), super::steps::step(&p, Aim::Fairness, 0), now()); }
    let mut e = Exact::new(&p);
    let mut np = 0;
    loop {
        let best = a.best;
        match e.run(2000, &best) {
            Event::Working => if args_v() { println!(" {:?} bound {:?} t {:.3}", e.aim(), e.bound(&best), now()) },
            Event::Found(b) => { println!("found {:?} t {:.3}", b.score, now()); a.offer(&b); }
            Event::Over => break,
        }
        if e.proven.len() != np { np = e.proven.len(); println!("proven {:?} spent {} t {:.3}", e.proven, e.spent, now()); }
        if now() > 20.0 { break; }
    }
    println!("end {:?} {:?} {:?} t {:.3}", a.best, e.proven, e.bound(&a.best), now());
}
fn args_v() -> bool { std::env::var("V").is_ok() }
