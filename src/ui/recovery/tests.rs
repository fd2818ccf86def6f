use std::process::{Command, Stdio};

use super::*;

fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("toppleknot-recovery-{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    folder
}

/// Tells of a changed toy and waits until the writer has written it; its lock is held as long as the answer lives.
fn keeping(folder: &Path) -> (Recovery, Held) {
    let mut recovery = Recovery::new(Some(folder.to_owned()));
    recovery.tell(1, true, &Document::default());
    // The writer ends when it is told nothing more.
    recovery.jobs = None;
    let own = recovery.worker.take().expect("a writer").join().expect("it ends well").expect("a copy");
    assert!(own.copy.exists() && lock_of(&own.copy).exists());
    (recovery, own)
}

fn copies(folder: &Path) -> Vec<PathBuf> {
    Recovery::new(Some(folder.to_owned())).found().into_iter().map(|held| held.copy).collect()
}

fn files(folder: &Path) -> usize {
    std::fs::read_dir(folder).expect("a folder").count()
}

#[test]
fn a_copy_is_found_only_once_its_window_is_gone() {
    let folder = folder("gone");
    let (_, own) = keeping(&folder);
    assert_eq!(own.copy, named(&folder, std::process::id()));
    assert_eq!(copies(&folder), Vec::<PathBuf>::new(), "its window lives");
    let copy = own.copy.clone();
    // What the system does when a program is gone.
    drop(own);
    assert_eq!(copies(&folder), vec![copy]);
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn two_windows_have_copies_of_their_own_and_take_each_away() {
    let folder = folder("two");
    let (_, first) = keeping(&folder);
    let (_, second) = keeping(&folder);
    assert_ne!(first.copy, second.copy);
    assert_eq!(copies(&folder), Vec::<PathBuf>::new());
    let left = second.copy.clone();
    first.remove();
    drop(second);
    assert_eq!(copies(&folder), vec![left]);
    assert_eq!(files(&folder), 2, "the copy left and its lock");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn a_copy_of_a_program_with_the_same_number_is_not_written_over() {
    let folder = folder("number");
    let before = named(&folder, std::process::id());
    std::fs::write(&before, "what an older program left").expect("written");
    let (_, own) = keeping(&folder);
    assert_ne!(own.copy, before);
    assert_eq!(std::fs::read_to_string(&before).expect("it is there"), "what an older program left");
    assert_eq!(copies(&folder), vec![before]);
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn what_one_window_offers_no_other_does() {
    let folder = folder("offered");
    let copy = named(&folder, u32::MAX);
    std::fs::write(&copy, "left").expect("written");
    let window = || Recovery::new(Some(folder.clone()));
    let (mut first, mut second) = (window(), window());
    assert_eq!((first.offer(), second.offer()), (Some(copy.clone()), None));
    first.let_be();
    assert_eq!(second.offer(), Some(copy.clone()));
    // Taken up, it is the second window's own until that is done with it.
    second.take_over();
    assert_eq!(first.offer(), None);
    second.tell(1, true, &Document::default());
    second.finish();
    assert_eq!(files(&folder), 0, "neither the copy nor its lock stays");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn what_is_taken_up_is_never_without_a_copy() {
    let folder = folder("taken");
    let copy = named(&folder, u32::MAX);
    document::save_alone(&Document::default(), &copy).expect("written");
    let mut window = Recovery::new(Some(folder.clone()));
    assert!(window.offer().is_some());
    window.take_over();
    assert!(copy.exists(), "nothing is removed before the toy is saved");
    let mut toy = Document::default();
    toy.toy.name = "changed since".to_owned();
    window.tell(2, true, &toy);
    window.jobs = None;
    let own = window.worker.take().expect("a writer").join().expect("it ends well").expect("a copy");
    assert_eq!(own.copy, copy);
    assert_eq!(document::load(&copy).expect("whole").toy.name, "changed since");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn locks_without_a_copy_are_cleaned_away_but_not_those_in_use() {
    let folder = folder("stale");
    let stale = lock_of(&named(&folder, u32::MAX));
    std::fs::write(&stale, "").expect("written");
    let in_use = Held::new_in(&folder).expect("a name");
    let strange = folder.join("unsaved-owl.lock");
    std::fs::write(&strange, "").expect("written");
    assert_eq!(copies(&folder), Vec::<PathBuf>::new());
    assert!(!stale.exists() && lock_of(&in_use.copy).exists() && strange.exists());
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn where_no_lock_can_be_made_nothing_is_lost() {
    let folder = folder("no-lock");
    let copy = named(&folder, u32::MAX);
    std::fs::write(&copy, "left").expect("written");
    // A folder in the place of its lock: it can neither be opened nor locked.
    std::fs::create_dir(lock_of(&copy)).expect("a folder");
    assert_eq!(copies(&folder), vec![copy.clone()]);
    let mut window = Recovery::new(Some(folder.clone()));
    assert_eq!(window.offer(), Some(copy.clone()));
    window.forget();
    assert!(!copy.exists());
    let _ = std::fs::remove_dir_all(folder);
}

/// Another program holds the lock and is killed: what no lock within this program can show.
#[test]
fn the_lock_falls_with_the_program() {
    let folder = folder("killed");
    let copy = named(&folder, 1);
    std::fs::write(&copy, "left").expect("written");
    let own = std::env::current_exe().expect("this program");
    let test = concat!(module_path!(), "::holds_a_lock_until_it_is_killed");
    let test = test.split_once("::").map_or(test, |(_, inside)| inside);
    let mut other = Command::new(own)
        .args(["--ignored", "--exact", test])
        .env("TOPPLEKNOT_TEST_COPY", &copy)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .spawn()
        .expect("it starts");
    let says = copy.with_extension("held");
    for _ in 0..1000 {
        if says.exists() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    assert!(says.exists(), "the other program holds the lock");
    assert_eq!(copies(&folder), Vec::<PathBuf>::new(), "its program lives");
    other.kill().expect("killed");
    other.wait().expect("ended");
    assert_eq!(copies(&folder), vec![copy]);
    let _ = std::fs::remove_dir_all(folder);
}

/// Only for the test above, which starts and kills it.
#[test]
#[ignore = "run by the_lock_falls_with_the_program"]
fn holds_a_lock_until_it_is_killed() {
    let Some(copy) = std::env::var_os("TOPPLEKNOT_TEST_COPY").map(PathBuf::from) else { return };
    let held = Held::ask(&copy).expect("a lock");
    assert!(matches!(held, Asked::Held(_)));
    std::fs::write(copy.with_extension("held"), "").expect("written");
    std::thread::sleep(std::time::Duration::from_secs(60));
}
