// The cells of the textbooks as netlist text. Equations: Mano and Ciletti, Digital Design; Wakerly,
// Digital Design: Principles and Practices (both from memory).
#pragma once

namespace settle::testing::cells {

inline constexpr const char* nor_latch = R"(
cell nor_latch
  in  s r
  out q qn
  nor q_gate:  r qn -> q
  nor qn_gate: s q  -> qn
end
)";

inline constexpr const char* nand_latch = R"(
cell nand_latch
  in  sn rn
  out q qn
  nand q_gate:  sn qn -> q
  nand qn_gate: rn q  -> qn
end
)";

inline constexpr const char* gated_latch = R"(
cell gated_latch
  in  c s r
  out q qn
  nand gs: s c -> sn
  nand gr: r c -> rn
  nand q_gate:  sn qn -> q
  nand qn_gate: rn q  -> qn
end
)";

// D latch, 4 gates: s = NAND(D, C), r = NAND(s, C).
inline constexpr const char* d_latch_4 = R"(
cell d_latch_4
  in  d c
  out q qn
  nand gs: d c -> s
  nand gr: s c -> r
  nand q_gate:  s qn -> q
  nand qn_gate: r q  -> qn
end
)";

inline constexpr const char* d_latch_5 = R"(
cell d_latch_5
  in  d c
  out q qn
  not  inv: d -> dn
  nand gs: d c  -> s
  nand gr: dn c -> r
  nand q_gate:  s qn -> q
  nand qn_gate: r q  -> qn
end
)";

inline constexpr const char* mux_latch = R"(
cell mux_latch
  in  d c
  out q
  not inv: c -> cn
  and load: d c  -> a
  and keep: q cn -> b
  or  sum:  a b  -> q
end
)";

// With the consensus term D Q (Earle).
inline constexpr const char* earle_latch = R"(
cell earle_latch
  in  d c
  out q
  not inv: c -> cn
  and load: d c  -> a
  and keep: q cn -> b
  and both: d q  -> e
  or  sum:  a b e -> q
end
)";

// 7474 type, six NAND gates.
inline constexpr const char* six_nand = R"(
cell six_nand
  in  d c
  out q qn
  nand g1: n4 n2   -> n1
  nand g2: n1 c    -> n2
  nand g3: n2 c n4 -> n3
  nand g4: n3 d    -> n4
  nand g5: n2 qn   -> q
  nand g6: n3 q    -> qn
end
)";

inline constexpr const char* jk_latch = R"(
cell jk_latch
  in  j k c
  out q qn
  nand gs: j c qn -> s
  nand gr: k c q  -> r
  nand q_gate:  s qn -> q
  nand qn_gate: r q  -> qn
end
)";

inline constexpr const char* jk_master_slave = R"(
cell jk_master_slave
  in  j k c
  out q qn
  not  inv: c -> cn
  nand ms: j c qn -> a
  nand mr: k c q  -> b
  nand m:  a mn -> m
  nand mn: b m  -> mn
  nand ss: m cn  -> e
  nand sr: mn cn -> f
  nand q_gate:  e qn -> q
  nand qn_gate: f q  -> qn
end
)";

// Muller's C-element as a majority of a, b and the output.
inline constexpr const char* c_element = R"(
cell c_element
  in  a b
  out c
  and ab: a b -> x
  and ac: a c -> y
  and bc: b c -> z
  or  sum: x y z -> c
end
)";

// Three NOR gates, each reading both others: one of three holds.
inline constexpr const char* three_way = R"(
cell three_way
  in  a b c
  out p q r
  nor p_gate: a q r -> p
  nor q_gate: b p r -> q
  nor r_gate: c p q -> r
end
)";

// NAND and two inverters: runs while `go` is 1.
inline constexpr const char* gated_ring = R"(
cell gated_ring
  in  go
  out a b c
  nand first: go c -> a
  not  second: a -> b
  not  third:  b -> c
end
)";

}  // namespace settle::testing::cells
