//! On what a window could draw.

use std::{
    pin::pin,
    sync::mpsc,
    task::{Context, Poll, Waker},
    time::Duration,
};

use eframe::wgpu::{Backends, Instance, InstanceDescriptor};

/// A driver that takes longer is not waited for.
const LONGEST: Duration = Duration::from_secs(5);

/// The graphics adapters of this computer, "name (Vulkan, driver)", for a report; one sentence where there are none or
/// no display is named.
pub fn graphics() -> String {
    if !super::run::has_display(|name| std::env::var_os(name)) {
        return "not looked for: no display is named".into();
    }
    let (tell, told) = mpsc::channel();
    // A driver may hang or fall over; the report shall not.
    let looked = std::thread::Builder::new().name("adapters".into()).spawn(move || tell.send(adapters()));
    match looked.map(|_| told.recv_timeout(LONGEST)) {
        Ok(Ok(found)) if found.is_empty() => "no adapter found".into(),
        Ok(Ok(found)) => found.join("; "),
        _ => "the drivers did not answer".into(),
    }
}

fn adapters() -> Vec<String> {
    let instance = Instance::new(InstanceDescriptor::new_without_display_handle_from_env());
    let mut asked = pin!(instance.enumerate_adapters(Backends::all()));
    let mut context = Context::from_waker(Waker::noop());
    let found = loop {
        match asked.as_mut().poll(&mut context) {
            Poll::Ready(found) => break found,
            Poll::Pending => std::thread::sleep(Duration::from_millis(5)),
        }
    };
    let words = |a: &eframe::wgpu::Adapter| {
        let about = a.get_info();
        let driver = [about.driver, about.driver_info].into_iter().filter(|d| !d.is_empty()).collect::<Vec<_>>();
        format!("{} ({:?}, {})", about.name, about.backend, driver.join(" "))
    };
    found.iter().map(words).collect()
}
