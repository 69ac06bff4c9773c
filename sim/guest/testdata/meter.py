"""A mains meter on a Modbus RTU bus, made with another project's implementation.

    meter.py MEASURED LINK

From the named pipe MEASURED it takes "volts watts", a line for each measurement. It
answers as unit 1 with them: float32, highest byte first, volts in input register 0, watts
in 12. The bus is a pseudo-terminal, to which LINK leads. Without arguments it only names
the files that it needs, a line each: a module's own, and the compiled one.

Needs Debian's python3-pymodbus.
"""

import os
import select
import struct
import sys
import tty

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusSlaveContext
from pymodbus.factory import ServerDecoder
from pymodbus.transaction import ModbusRtuFramer

UNIT = 1
READ_INPUT_REGISTERS = 4


def needed():
    for module in list(sys.modules.values()):
        file, compiled = getattr(module, "__file__", None), getattr(module, "__cached__", None)
        if file and module.__name__ != "__main__":
            print(file, compiled or "")


def serve(measured, link):
    registers = ModbusSlaveContext(ir=ModbusSequentialDataBlock(0, [0] * 20), zero_mode=True)
    bus, other = os.openpty()
    tty.setraw(other)
    os.symlink(os.ttyname(other), link)
    source = os.open(measured, os.O_RDWR)  # not at its end while nobody writes
    framer = ModbusRtuFramer(ServerDecoder())

    def answer(request):
        response = request.execute(registers)
        response.transaction_id, response.unit_id = request.transaction_id, request.unit_id
        os.write(bus, framer.buildPacket(response))

    lines = b""
    print("the meter is there", flush=True)
    while True:
        ready, _, _ = select.select([bus, source], [], [])
        if source in ready:
            *whole, lines = (lines + os.read(source, 4096)).split(b"\n")
            for line in whole:
                volts, watts = map(float, line.split())
                for number, value in ((0, volts), (12, watts)):
                    high, low = struct.unpack(">HH", struct.pack(">f", value))
                    registers.setValues(READ_INPUT_REGISTERS, number, [high, low])
        if bus in ready:
            framer.processIncomingPacket(os.read(bus, 256), answer, UNIT)


if len(sys.argv) == 1:
    needed()
else:
    serve(*sys.argv[1:])
