package main

import "flag"

var update = flag.Bool("update", false, "write traces and scripts anew; read the difference before you keep it")
