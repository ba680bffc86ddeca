use nest_core::board::Board;
use nest_core::geometry::Turn;
use nest_core::job::Job;
use nest_core::search::{Continue, Settings, Silent, lay, lay_board};

use super::{EITHER, piece};

/// What `work` gives on so many threads.
fn on_threads<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> T {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    pool.install(work)
}

#[test]
fn a_board_gives_the_same_lay_on_any_number_of_threads() {
    let hook = [(0, 0), (40_000, 0), (40_000, 9000), (12_000, 11_000), (10_000, 30_000), (0, 25_000)];
    let wedge = [(0, 0), (31_000, 0), (9000, 17_000)];
    // The second is the same six times over: it is searched in groups.
    for (hooks, wedges, rounds) in [(9, 14, 3), (36, 60, 8)] {
        let pieces = vec![piece("hook", &hook, hooks, &Turn::ALL), piece("wedge", &wedge, wedges, &EITHER)];
        let board = Board::new(100_000, pieces).expect("a board");
        let settings = Settings { seed: 5, rounds: Some(rounds), lanes: 3 };
        let found = |threads| {
            on_threads(threads, || {
                let mut told = Vec::new();
                let answer = lay_board(&board, &settings, |progress| {
                    told.push((progress.length, progress.evaluations));
                    Continue::Yes
                });
                // The count of positions tried would show two ways to the same end.
                (told, answer.lay, answer.evaluations)
            })
        };
        let one = found(1);
        assert!(one.2 > 0);
        assert_eq!(one, found(2));
        assert_eq!(one, found(7));
    }
}

#[test]
fn a_job_gives_the_same_markers_on_any_number_of_threads() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/tubular-tee/job.json");
    let job = Job::read_bytes(&std::fs::read(path).expect("a sample")).expect("a job");
    let settings = Settings { seed: 3, rounds: Some(4), ..Settings::default() };
    let found = |threads| {
        on_threads(threads, || {
            let answer = lay(&job, &job.cloths[0], &settings, &mut Silent);
            let markers: Vec<_> = answer
                .lines
                .into_iter()
                .map(|line| line.result.map(|found| (found.marker, found.origin, found.round)))
                .collect();
            (markers, answer.evaluations)
        })
    };
    let one = found(1);
    assert!(one.0.iter().any(Result::is_ok));
    assert_eq!(one, found(2));
    assert_eq!(one, found(7));
}
