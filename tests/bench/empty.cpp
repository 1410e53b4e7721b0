// An empty process, linked like the program: what starting one costs.
#include <iostream>

int main() { return std::cout.good() ? 0 : 1; }
