//! What the commands do to folders, files and histories, as their own process.

#[path = "../common/mod.rs"]
mod common;
#[path = "../reading/mod.rs"]
mod reading;
#[path = "../common/swap.rs"]
mod swap;

mod adopt;
mod bought;
mod counted;
mod days;
mod desk;
mod disk;
mod editions;
mod flushed;
mod in_place;
mod injection;
mod kept_files;
mod killed_at;
mod links;
mod machine;
mod manners;
mod many_boats;
mod memory;
mod new_sail;
mod no_files;
mod on_save;
mod pictures;
mod reissue;
mod sail_add;
mod sailed;
mod season_story;
mod show;
mod table;
mod terminal_pictures;
mod which_book;
mod whole_run;
mod written_whole;
