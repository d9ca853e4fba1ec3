//! Many hands, one order: photos are read side by side and passed on in the
//! order they were asked for, without any running far ahead.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Condvar, Mutex, PoisonError, mpsc};

/// Results that may wait for an earlier one, for each worker. Chosen: enough
/// that one slow photo does not hold up the rest, and few enough that memory
/// does not grow with the number of photos.
const AHEAD: usize = 4;

/// Does `work` on every task with so many workers, each in a pool of its own
/// with `threads` threads, and gives the results to `take` in the order of the
/// tasks. At most a few results a worker wait at any time.
///
/// # Errors
/// The first error of `take`, after which no further task is begun; or when
/// threads cannot be started.
pub(crate) fn run_in_order<T: Send, R: Send>(
    tasks: Vec<T>,
    (workers, threads): (usize, usize),
    work: impl Fn(T) -> R + Sync,
    mut take: impl FnMut(R) -> anyhow::Result<()>,
) -> anyhow::Result<()> {
    let pools = (0..workers)
        .map(|_| rayon::ThreadPoolBuilder::new().num_threads(threads).build())
        .collect::<Result<Vec<_>, _>>()?;
    let left = Mutex::new(tasks.into_iter().enumerate());
    let gate = Gate {
        taken: Mutex::new(0),
        moved: Condvar::new(),
        closed: AtomicBool::new(false),
        ahead: AHEAD * workers,
    };
    let (send, receive) = mpsc::channel();
    std::thread::scope(|scope| {
        for pool in pools {
            let (send, left, gate, work) = (send.clone(), &left, &gate, &work);
            scope.spawn(move || {
                loop {
                    let next = left.lock().unwrap_or_else(PoisonError::into_inner).next();
                    let Some((number, task)) = next else { break };
                    if !gate.wait_for(number) {
                        break;
                    }
                    let result = pool.install(|| work(task));
                    if send.send((number, result)).is_err() {
                        break;
                    }
                }
            });
        }
        drop(send);
        let mut waiting = BTreeMap::new();
        let mut next = 0;
        for (number, result) in receive {
            waiting.insert(number, result);
            while let Some(result) = waiting.remove(&next) {
                if let Err(error) = take(result) {
                    gate.close();
                    return Err(error);
                }
                next += 1;
                gate.move_to(next);
            }
        }
        Ok(())
    })
}

/// Keeps workers from running far ahead.
struct Gate {
    taken: Mutex<usize>,
    moved: Condvar,
    closed: AtomicBool,
    ahead: usize,
}

impl Gate {
    /// Waits until a task's turn is near; `false` when all is over.
    fn wait_for(&self, number: usize) -> bool {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        while number >= *taken + self.ahead && !self.closed.load(Ordering::SeqCst) {
            taken = self
                .moved
                .wait(taken)
                .unwrap_or_else(PoisonError::into_inner);
        }
        !self.closed.load(Ordering::SeqCst)
    }

    fn move_to(&self, next: usize) {
        *self.taken.lock().unwrap_or_else(PoisonError::into_inner) = next;
        self.moved.notify_all();
    }

    fn close(&self) {
        let _taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        self.closed.store(true, Ordering::SeqCst);
        self.moved.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicUsize;

    #[test]
    fn results_come_in_order_and_none_runs_far_ahead() {
        let begun = AtomicUsize::new(0);
        let taken = AtomicUsize::new(0);
        let furthest = AtomicUsize::new(0);
        let mut seen = Vec::new();
        run_in_order(
            (0..500_usize).collect(),
            (4, 1),
            |task| {
                begun.fetch_add(1, Ordering::SeqCst);
                let lead = task.saturating_sub(taken.load(Ordering::SeqCst));
                furthest.fetch_max(lead, Ordering::SeqCst);
                // Every hundredth is slow.
                let rounds = if task % 100 == 0 { 200_000 } else { 100 };
                (0..rounds).fold(task as u64, |a, b| a.wrapping_mul(31).wrapping_add(b));
                task
            },
            |task| {
                seen.push(task);
                taken.fetch_add(1, Ordering::SeqCst);
                Ok(())
            },
        )
        .unwrap();
        assert_eq!(seen, (0..500).collect::<Vec<_>>());
        assert!(furthest.load(Ordering::SeqCst) <= AHEAD * 4);
    }

    #[test]
    fn an_error_stops_the_rest() {
        let begun = AtomicUsize::new(0);
        let stopped = run_in_order(
            (0..10_000_usize).collect(),
            (2, 1),
            |task| {
                begun.fetch_add(1, Ordering::SeqCst);
                task
            },
            |task| {
                anyhow::ensure!(task < 5, "enough");
                Ok(())
            },
        );
        assert!(stopped.is_err());
        assert!(begun.load(Ordering::SeqCst) < 100);
    }
}
