//! Work on two threads, where the machine gives a second one.

use core::sync::atomic::{AtomicUsize, Ordering};
use std::panic::resume_unwind;
use std::thread;

/// Stack of the second thread, bytes: as the first has it.
const STACK: usize = 8 << 20;

/// Does two things at the same time, one after the other where there is no second thread.
pub(super) fn at_once<A, B: Send>(one: impl FnOnce() -> A, other: impl Fn() -> B + Sync) -> (A, B) {
    thread::scope(|scope| {
        let aside = thread::Builder::new()
            .stack_size(STACK)
            .spawn_scoped(scope, &other);
        let first = one();
        let second = match aside.map(thread::ScopedJoinHandle::join) {
            Ok(Ok(second)) => second,
            Ok(Err(panic)) => resume_unwind(panic),
            Err(_) => other(),
        };
        (first, second)
    })
}

/// So many tasks that take long are worth the start of a second thread, a tenth of a
/// millisecond.
const WORTH_IT: usize = 12;

/// Does a task for each of some things, whichever thread is free the next one; what comes
/// of them is in their order. Each thread has a room of its own for the work.
pub(super) fn shared_out<T: Sync, Room: Default, R: Send>(
    things: &[T],
    task: impl Fn(&T, &mut Room) -> R + Sync,
) -> Vec<R> {
    if things.len() < WORTH_IT {
        let mut room = Room::default();
        return things.iter().map(|thing| task(thing, &mut room)).collect();
    }
    let next = AtomicUsize::new(0);
    let work = || {
        let mut room = Room::default();
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(thing) = things.get(at) else {
                return done;
            };
            done.push((at, task(thing, &mut room)));
        }
    };
    let (mut done, others) = at_once(work, work);
    done.extend(others);
    done.sort_unstable_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_are_in_the_order_of_the_things() {
        let things: Vec<usize> = (0..1000).collect();
        let doubled = shared_out(&things, |thing, seen: &mut usize| {
            *seen += 1;
            (2 * thing, *seen)
        });
        assert!(
            doubled
                .iter()
                .map(|(two, _)| *two)
                .eq((0..1000).map(|one| 2 * one))
        );
        // Of two rooms the fuller one has seen half of them at least.
        let most = doubled.iter().map(|(_, seen)| *seen).max();
        assert!(most.is_some_and(|most| (500..=1000).contains(&most)));
        assert!(shared_out(&[0; 0], |_, (): &mut ()| ()).is_empty());
        assert_eq!(shared_out(&[7], |thing, (): &mut ()| *thing), [7]);
    }

    #[test]
    fn a_panic_of_either_thread_is_passed_on() {
        let caught = std::panic::catch_unwind(|| at_once(|| (), || panic!("aside")));
        assert!(caught.is_err());
    }
}
