"""The parts of one design over time: what they do by themselves, what stands out, what may be learned."""
