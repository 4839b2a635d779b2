//! Where long work runs.

use std::{
    collections::VecDeque,
    sync::{
        Arc, Condvar, Mutex, PoisonError,
        mpsc::{Receiver, Sender, channel},
    },
    time::Instant,
};

use super::{Answer, Event, Lane, Request, Ticket};

/// Called from any thread when there is an event to fetch.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// Hears events as they happen, from any thread.
pub type Heard = Arc<dyn Fn(&Event) + Send + Sync>;

/// Runs requests: on one thread a lane, or inline at once.
pub struct Runner {
    heard: Option<Heard>,
    lanes: Option<[Arc<Queue>; Lane::ALL.len()]>,
    events: Receiver<Event>,
    sender: Sender<Event>,
    next: u64,
}

impl std::fmt::Debug for Runner {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Runner").field("threads", &self.lanes.is_some()).finish_non_exhaustive()
    }
}

#[derive(Default)]
struct Queue {
    waiting: Mutex<State>,
    more: Condvar,
}

#[derive(Default)]
struct State {
    requests: VecDeque<(Ticket, Request)>,
    running: Option<Ticket>,
    closed: bool,
}

impl Runner {
    /// Every request runs inside [`Self::submit`]; its events wait to be fetched. For tests and the command line.
    pub fn inline() -> Self {
        let (sender, events) = channel();
        Self { heard: None, lanes: None, events, sender, next: 0 }
    }

    /// As [`Self::inline`]; every event is also heard while the request still runs.
    pub fn inline_heard(heard: Heard) -> Self {
        let mut runner = Self::inline();
        runner.heard = Some(heard);
        runner
    }

    /// One named thread a lane. `wake` is called whenever there is something to fetch.
    ///
    /// Where a thread cannot be had, requests of its lane run inline.
    pub fn threads(wake: &Wake) -> Self {
        let (sender, events) = channel();
        let lanes = Lane::ALL.map(|_| Arc::new(Queue::default()));
        for (queue, lane) in lanes.iter().zip(Lane::ALL) {
            let (queue, sender, wake) = (queue.clone(), sender.clone(), wake.clone());
            let made =
                std::thread::Builder::new().name(lane.name().into()).spawn(move || serve(&queue, &sender, &wake));
            if made.is_err() {
                return Self::inline();
            }
        }
        Self { heard: None, lanes: Some(lanes), events, sender, next: 0 }
    }

    /// Takes a request. In any lane but Prepare it takes the place of the one that runs.
    pub fn submit(&mut self, request: Request, fingerprint: u64) -> Ticket {
        self.submit_until(request, fingerprint, None)
    }

    /// As [`Self::submit`], for work that is cancelled at a time.
    pub fn submit_until(&mut self, request: Request, fingerprint: u64, by: Option<Instant>) -> Ticket {
        self.next += 1;
        let ticket = Ticket::new(self.next, fingerprint, by);
        match &self.lanes {
            None => {
                let hear = |event: &Event| {
                    if let Some(heard) = &self.heard {
                        heard(event);
                    }
                };
                run(request, &ticket, &self.sender, &hear, &|| ());
            }
            Some(lanes) => {
                let lane = request.lane();
                let queue = &lanes[lane as usize];
                let mut state = queue.waiting.lock().unwrap_or_else(PoisonError::into_inner);
                if lane != Lane::Prepare {
                    if let Some(t) = &state.running {
                        t.cancel();
                    }
                    state.requests.clear();
                }
                state.requests.push_back((ticket.clone(), request));
                queue.more.notify_one();
            }
        }
        ticket
    }

    /// Everything said since the last call.
    pub fn events(&self) -> Vec<Event> {
        self.events.try_iter().collect()
    }
}

impl Drop for Runner {
    fn drop(&mut self) {
        for queue in self.lanes.iter().flatten() {
            let mut state = queue.waiting.lock().unwrap_or_else(PoisonError::into_inner);
            state.closed = true;
            for (ticket, _) in &state.requests {
                ticket.cancel();
            }
            if let Some(t) = &state.running {
                t.cancel();
            }
            queue.more.notify_all();
        }
    }
}

/// A lane's thread.
fn serve(queue: &Queue, sender: &Sender<Event>, wake: &Wake) {
    loop {
        let (ticket, request) = {
            let mut state = queue.waiting.lock().unwrap_or_else(PoisonError::into_inner);
            loop {
                if state.closed {
                    return;
                }
                if let Some((ticket, request)) = state.requests.pop_front() {
                    state.running = Some(ticket.clone());
                    break (ticket, request);
                }
                state = queue.more.wait(state).unwrap_or_else(PoisonError::into_inner);
            }
        };
        run(request, &ticket, sender, &|_| (), &|| wake());
        queue.waiting.lock().unwrap_or_else(PoisonError::into_inner).running = None;
    }
}

fn run(
    request: Request,
    ticket: &Ticket,
    sender: &Sender<Event>,
    hear: &(dyn Fn(&Event) + Sync),
    wake: &(dyn Fn() + Sync),
) {
    let tell = |event: Event| {
        hear(&event);
        // The receiver is gone when the window closes: nobody to tell.
        let _ = sender.send(event);
        wake();
    };
    tell(Event::Begin(ticket.id));
    // A fault in one piece of work must not take the lane, or the window, with it.
    let answer = if ticket.cancelled() {
        None
    } else {
        std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| request.run(ticket, &tell))).unwrap_or_else(|p| {
            let why = p.downcast_ref::<&str>().map(ToString::to_string).or_else(|| p.downcast_ref::<String>().cloned());
            Some(Answer::Failed(why.unwrap_or_else(|| "unknown fault".into())))
        })
    };
    tell(Event::End { ticket: ticket.id, cancelled: ticket.cancelled(), answer });
}
