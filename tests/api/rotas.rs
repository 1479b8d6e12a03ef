//! A rota from the wish for it to the places that people hold.

mod cover;
mod drafting;
mod ground;
mod owing;
mod putting_up;
mod races;
mod reasons;
