//! The program in a real browser: chromium (without its window), driven through its own driver, as a harpist would use it.
//!
//! [`walk_mouse`] and [`walk_keys`] do the whole job once each way; [`shelf`], [`mistakes`], [`worktable`], [`whole_tune`],
//! [`ways`], [`hymn`], [`practice`], [`diary`], [`versions`], [`sets`], [`book`], [`together`], [`haste`], [`stand`], [`stand_recording`], [`sound`] and [`recording`] look closer; [`first_look`] is an empty folder, [`guide`] the guide with its pictures, [`ending`] the end of the program, [`typing`] notes that are typed, touched and heard, [`small_things`], [`in_hand`] and [`sizes`] what was stumbled over; [`access`] has an accessibility
//! checker look at every page; [`speed`] measures and prints. [`page`], [`keyboard`] and [`listening`] are the hand and the ear, [`desk`] the program.
//! Nothing here sleeps: what is waited for is watched in the page.

mod access;
mod bare_tune;
mod book;
mod worktable;
mod desk;
mod diary;
mod ending;
mod first_look;
mod guide;
mod haste;
mod hymn;
mod in_hand;
mod keyboard;
mod listening;
mod mistakes;
mod browser_page;
mod practice;
mod sets;
mod recording;
mod shelf;
mod sizes;
mod small_things;
mod sound;
mod speed;
mod versions;
mod stand;
mod stand_recording;
mod together;
mod typing;
mod walk_keys;
mod walk_mouse;
mod ways;
mod whole_tune;
