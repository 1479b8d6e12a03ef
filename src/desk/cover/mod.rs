//! Cover: what becomes of a place whose holder cannot come, or that nobody holds.
//!
//! ```text
//! absences, cannot_come, give_place_back --> give_up --> a call: left empty, or looked for by look
//! a free place that nobody gave up --> unheld --> a call
//! whoever gives or frees a place --> hand_over: the call hears of it
//! ```
//!
//! A call changes only behind the lock of its turn, and the calls of one turn are one question
//! (`turn_calls`). Its life is that of
//! [`wormrota_domain::cover::call`].

pub mod answer_call;
mod bin_calls;
mod bin_course;
mod call_at_hand;
pub mod cannot_come;
mod come_back;
mod give_up;
mod hand_over;
pub mod keep_call;
mod look;
mod said;
pub mod see_calls;
mod seekers;
mod turn_calls;
pub mod uncovered;
mod unheld;
mod what_then;

pub use bin_course::KeptNeed;
pub use come_back::CameBack;
pub use give_up::GivenUp;
pub use said::{alone_said, need_said};

pub(super) use answer_call::{give_back, say_no, say_yes};
pub(super) use bin_calls::calls_of_bin;
pub(super) use bin_course::{BinCourse, turn_span};
pub(super) use call_at_hand::CallAtHand;
pub(super) use cannot_come::give_up_one;
pub(super) use come_back::come_back;
pub(super) use give_up::{GivingUp, give_up, look_for_others};
pub(super) use hand_over::{freed, given, put_up};
pub(super) use look::{ALONE_DAYS, look_after_calls};
pub(super) use turn_calls::{answered_call, asked_beside, is_asked_for};
pub(super) use what_then::{WhatThen, what_then};
