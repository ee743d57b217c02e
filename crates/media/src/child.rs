//! One child: started in a process group of its own, ended with all that it started, and never left as a zombie.

use std::ffi::OsString;
use std::io;
use std::path::Path;
use std::process::{Child, ChildStderr, ChildStdout, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

/// What a child's ends are joined to.
pub(crate) struct Pipes {
    pub(crate) output: Option<ChildStdout>,
    pub(crate) errors: Option<ChildStderr>,
}

/// A child that runs, or that has ended and has not been waited for.
#[derive(Debug)]
pub(crate) struct Running {
    child: Child,
    ended: Option<ExitStatus>,
}

/// Starts a program with these very arguments and nothing to read.
pub(crate) fn start(program: &Path, arguments: &[OsString]) -> io::Result<(Running, Pipes)> {
    let mut command = Command::new(program);
    command.args(arguments).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    #[cfg(unix)]
    {
        // Of its own, so that Ctrl-C ends the show and the show ends the child, and so that what the child
        // has started goes with it.
        use std::os::unix::process::CommandExt;
        command.process_group(0);
    }
    let mut child = command.spawn()?;
    let pipes = Pipes { output: child.stdout.take(), errors: child.stderr.take() };
    Ok((Running { child, ended: None }, pipes))
}

impl Running {
    /// The system's number of it.
    pub(crate) fn number(&self) -> u32 {
        self.child.id()
    }

    /// How it ended, if it has. From then on its number may be another program's, and it is not ended again.
    pub(crate) fn ended(&mut self) -> Option<ExitStatus> {
        if self.ended.is_none() {
            self.end_what_it_left();
            self.ended = self.child.try_wait().ok().flatten();
        }
        self.ended
    }

    /// Ends what a child that has ended has started and left, while its number is still its own.
    fn end_what_it_left(&self) {
        #[cfg(unix)]
        {
            use rustix::process::{WaitId, WaitIdOptions, waitid};
            let Some(group) = self.group() else { return };
            let looked = WaitIdOptions::EXITED | WaitIdOptions::NOHANG | WaitIdOptions::NOWAIT;
            if let Ok(Some(_)) = waitid(WaitId::Pid(group), looked) {
                let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
            }
        }
    }

    #[cfg(unix)]
    fn group(&self) -> Option<rustix::process::Pid> {
        i32::try_from(self.child.id()).ok().and_then(rustix::process::Pid::from_raw)
    }

    /// Waits for at most so long for it to end.
    pub(crate) fn wait(&mut self, most: Duration) -> Option<ExitStatus> {
        let until = Instant::now() + most;
        loop {
            let ended = self.ended();
            if ended.is_some() || Instant::now() >= until {
                return ended;
            }
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    /// Ends it at once, with all that it has started.
    pub(crate) fn kill(&mut self) {
        if self.ended().is_some() {
            return;
        }
        #[cfg(unix)]
        if let Some(group) = self.group() {
            // One that has ended meanwhile is still ours until it has been waited for.
            let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
        }
        let _ = self.child.kill();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.kill();
        // What is killed ends; a moment, so that no zombie stays.
        self.wait(Duration::from_secs(1));
    }
}

/// How a child ended, in words.
pub(crate) fn told(status: ExitStatus) -> String {
    #[cfg(unix)]
    {
        use std::os::unix::process::ExitStatusExt;
        if let Some(signal) = status.signal() {
            return format!("was ended by signal {signal}");
        }
    }
    match status.code() {
        Some(0) => "ended".into(),
        Some(code) => format!("ended with code {code}"),
        None => "ended".into(),
    }
}
