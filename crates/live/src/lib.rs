//! The running machine: tick thread, sockets, serial ports, command ring, published snapshot.
