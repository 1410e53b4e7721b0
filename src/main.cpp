#include "app/app.hpp"

int main(int argc, char** argv) { return loomproof::app::run(argc, argv); }
