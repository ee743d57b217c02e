//! A serial port of this computer: raw bytes out, eight bits, no parity, one stop bit, no flow
//! control. What comes in is read and thrown away: a board that prints must not wait for us.

use std::io;
use std::time::Duration;

use crate::health::Fault;

/// How far the speed that a port really runs at may be from the one asked for: beyond it 8N1 fails
/// (common practice, no source).
const SPEED_OFF: f64 = 0.02;

/// What came of trying to write.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Wrote {
    /// So many bytes were taken, at least one.
    Some(usize),
    /// None can be taken now.
    Full,
}

/// An open serial port. Nothing here waits, but for [`Port::wait`].
#[derive(Debug)]
#[cfg(unix)]
pub(crate) struct Port(std::os::fd::OwnedFd);

#[cfg(unix)]
impl Port {
    /// Opens a port for this program alone.
    pub fn open(path: &str, baud: u32) -> Result<Self, Fault> {
        use rustix::fs::{Mode, OFlags};
        use rustix::termios::{
            ControlModes, OptionalActions, ioctl_tiocexcl, isatty, tcgetattr, tcsetattr,
        };
        // Without NONBLOCK some ports wait for a carrier that a board never gives.
        let flags = OFlags::RDWR | OFlags::NOCTTY | OFlags::NONBLOCK | OFlags::CLOEXEC;
        let port = rustix::fs::open(path, flags, Mode::empty()).map_err(system)?;
        if !isatty(&port) {
            return Err(Fault::NoSerialPort);
        }
        ioctl_tiocexcl(&port).map_err(system)?;
        let mut settings = tcgetattr(&port).map_err(system)?;
        settings.make_raw();
        let unwanted = ControlModes::CSIZE
            | ControlModes::CSTOPB
            | ControlModes::PARENB
            | ControlModes::CRTSCTS
            // Hanging up when we close would make many boards start anew.
            | ControlModes::HUPCL;
        settings.control_modes.remove(unwanted);
        settings
            .control_modes
            .insert(ControlModes::CS8 | ControlModes::CLOCAL | ControlModes::CREAD);
        settings.set_speed(baud).map_err(system)?;
        tcsetattr(&port, OptionalActions::Now, &settings).map_err(system)?;
        let runs = tcgetattr(&port).map_err(system)?.output_speed();
        if (f64::from(runs) - f64::from(baud)).abs() > SPEED_OFF * f64::from(baud) {
            return Err(Fault::Speed);
        }
        Ok(Self(port))
    }

    /// Hands over as many bytes as the system takes.
    pub fn write(&self, bytes: &[u8]) -> Result<Wrote, Fault> {
        match rustix::io::write(&self.0, bytes) {
            Ok(0) | Err(rustix::io::Errno::AGAIN | rustix::io::Errno::INTR) => Ok(Wrote::Full),
            Ok(count) => Ok(Wrote::Some(count)),
            Err(error) => Err(system(error)),
        }
    }

    /// Waits until bytes can be written, at most so long, and empties what has come in.
    pub fn wait(&self, most: Duration) -> Result<(), Fault> {
        use rustix::event::{PollFd, PollFlags, Timespec, poll};
        let mut wanted = [PollFd::new(&self.0, PollFlags::OUT | PollFlags::IN)];
        let most = Timespec { tv_sec: 0, tv_nsec: most.subsec_nanos().into() };
        match poll(&mut wanted, Some(&most)) {
            Ok(_) | Err(rustix::io::Errno::INTR) => {}
            Err(error) => return Err(system(error)),
        }
        let came = wanted[0].revents();
        if came.intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL) {
            return Err(Fault::HungUp);
        }
        if came.contains(PollFlags::IN) {
            let _ = rustix::io::read(&self.0, &mut [0; 512]);
        }
        Ok(())
    }

    /// Forgets what was written and has not left yet.
    pub fn flush(&self) {
        let _ = rustix::termios::tcflush(&self.0, rustix::termios::QueueSelector::OFlush);
    }
}

#[cfg(unix)]
fn system(error: rustix::io::Errno) -> Fault {
    Fault::from(&io::Error::from(error))
}

/// No port can be opened on this system.
#[derive(Debug)]
#[cfg(not(unix))]
pub(crate) enum Port {}

#[cfg(not(unix))]
impl Port {
    pub fn open(_: &str, _: u32) -> Result<Self, Fault> {
        let _ = SPEED_OFF;
        Err(Fault::from(&io::Error::from(io::ErrorKind::Unsupported)))
    }

    pub fn write(&self, _: &[u8]) -> Result<Wrote, Fault> {
        match *self {}
    }

    pub fn wait(&self, _: Duration) -> Result<(), Fault> {
        match *self {}
    }

    pub fn flush(&self) {
        match *self {}
    }
}
