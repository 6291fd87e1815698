//! Kinds of bass lines and of chord rhythms.

use super::Line;

pub(super) const B_ROOTS: &[Line] =
    &["R---------------", "r-------r-------", "r-----r-r-------", "r---r---r---r---"];
pub(super) const B_OFF: &[Line] = &["..r-", "..r-..o-", "..rr", ".rrr"];
pub(super) const B_EIGHTHS: &[Line] = &["r-", "r-r-r-f-", "R-r-r-r-"];
pub(super) const B_SIXTEENTHS: &[Line] = &["rrrr", "r.rrr.ro", "R.rr.rr.r.rr.ror"];
pub(super) const B_OCTAVES: &[Line] = &["r-o-", "r.o.", "r.oor.o."];
pub(super) const B_SYNC: &[Line] =
    &["r--r--r---?.r-f-", "R-.r..o-..r.f.t.", "r-....r-..r-..a-", "r..r...rr..f.?.o"];
pub(super) const B_FUNK: &[Line] = &["R.?r..o.?.r.f.?a", "R..r.?.o..?r.ofa", "Rr..?.o..r?.f.t."];
pub(super) const B_SUB: &[Line] = &["R---------------", "R-------....r---", "R-----........r-"];
pub(super) const B_WOBBLE: &[Line] = &["R-r-r-r-R-rrr-r-", "R-----r-..r-rrrr", "R---r-r-R---rrrr"];
pub(super) const B_REGGAE: &[Line] =
    &["r-..r-t-f---....", "....r-r-..t-f-..", "R---..f-r-t-....", "..r-..r-r-f-t-r-"];
pub(super) const B_TWO: &[Line] = &["r---....F---....", "r-----..F-----..", "r---....F---..a-"];
pub(super) const B_QUICK_TWO: &[Line] = &["r---F---", "r-..F-.."];
pub(super) const B_WALK4: &[Line] = &["r---w---w---a---"];
pub(super) const B_WALK3: &[Line] = &["r--w--w--a--", "r--w-ww--a--"];
pub(super) const B_BOSSA: &[Line] = &["r----.f-F----.r-", "r-----f-f-----r-"];
pub(super) const B_TUMBAO: &[Line] = &["......f-----o-----....f-----o---", "......f-----r---"];
pub(super) const B_TRESILLO: &[Line] = &["r-----r---r-....", "r-----f---o-....", "R--r--r-"];
pub(super) const B_WALTZ: &[Line] = &["r---........", "r-------....", "r---....F---", "r-----------"];
pub(super) const B_JAZZ_WALTZ: &[Line] = &["r--w--a--", "r--------", "r-----w--"];
pub(super) const B_SIX: &[Line] = &["r-----", "r--f--", "r-rf-a", "r---rr"];
pub(super) const B_TWELVE: &[Line] = &["r-rt-tf-ft-t", "r--r-ff--t-a", "r-----f-----", "r-rr-rr-rr-r"];
pub(super) const B_SEVEN: &[Line] = &["r---r---r-----", "r-r-f-r-r-o-f-", "r---f---r---a-"];
pub(super) const B_FIVE: &[Line] = &["r-----r-----f---o---", "R-----------r---f---", "r---w---w---w---a---"];
pub(super) const B_NONE: &[Line] = &[];

pub(super) const C_HELD: &[Line] = &["h---------------", "h-------h-------"];
pub(super) const C_OFF: &[Line] = &["..c.", "..cc", "....C..."];
pub(super) const C_SKANK: &[Line] = &["....C...", "..C.", "....Cc..", "..c...C."];
pub(super) const C_STABS: &[Line] =
    &["C-.c-.c-..C-....", "..C..C....C..?..", "C..C..C...C..C..", "..c-..c-.c-..c-."];
pub(super) const C_FUNK: &[Line] = &["c?.c.?c..c?.c.c.", "..c..cc?..c..?cc", "?ccc?.c.?ccc.?c."];
pub(super) const C_EIGHTHS: &[Line] = &["C-c-c-c-", "c-c-C-c-", "h-c-c-c-"];
pub(super) const C_QUARTERS: &[Line] = &["c---", "C---c---", "h--."];
pub(super) const C_POWER: &[Line] =
    &["C-c-c-c-c-c-c-c-", "C---..C-C---..c-", "h-------h---c-c-", "C.ccC.ccC.ccC-c-"];
pub(super) const C_STRUM: &[Line] = &["h---c-c-..c-c-c-", "h---c-cch-..c-cc", "b---c-c-f---c-cc", "C-c-Cccc"];
pub(super) const C_PICK: &[Line] = &["b-3-2-3-f-3-2-4-", "1-2-3-4-3-2-", "b-2-3-4-5-4-3-2-", "1-3-2-3-"];
pub(super) const C_OOM: &[Line] = &["b-..c-..", "b-..c-..f-..c-..", "b-c-f-c-", "..c-"];
pub(super) const C_STRIDE: &[Line] = &["b---C---f---C---", "b-..c-..f-..c-.c"];
pub(super) const C_WALTZ: &[Line] = &["....c---c---", "b---c---c---", "b---c-..c-..", "h-----------"];
pub(super) const C_WALTZ3: &[Line] = &["h--------", "...c-.c..", "..c..c..."];
pub(super) const C_CHARLESTON: &[Line] =
    &["c----C......", "..c....c....", "...c.....c..", ".....C.....c", "h-----------"];
pub(super) const C_BOSSA: &[Line] = &["b-c-..c-f-c-..c-", "..c-..c-..c-.c-.", "b--cb-c-f--cf-.c"];
pub(super) const C_MONTUNO: &[Line] = &["1-3.2.3.1.3.24.3", "C.c..c.c.c.c.c..", "1.35.3.25.3.1.3."];
pub(super) const C_TANGO: &[Line] = &["C---c---c---c---", "C--c..c-C--c..c-", "C-----c-c---C---"];
pub(super) const C_ALBERTI: &[Line] = &["1-3-2-3-", "1323", "1-2-3-2-"];
pub(super) const C_ARP16: &[Line] = &["1234", "12345432", "1.23.12.3.12.3.4", "1324"];
pub(super) const C_SIX: &[Line] = &["123432", "h-----", "b-cf-c", "1-2345", "..c..c"];
pub(super) const C_TWELVE: &[Line] = &["ccc", "h-----h-----", "..C..c", "c.cc.c"];
pub(super) const C_SEVEN: &[Line] = &["b-c-b-c-b-c-c-", "h-------------", "1-2-3-4-3-2-4-", "C---C---C-----"];
pub(super) const C_FIVE: &[Line] = &["C-----c-....c---c---", "b---c---c---f---c---", "h-------------------"];
