"""A mains meter on a Modbus RTU bus, made with another project's implementation.

Takes "volts watts" on standard input, a line for each measurement, and answers as unit
1 with them: float32, highest byte first, volts in input register 0, watts in 12. Prints
the number of the local TCP port on which the bus, its bytes as on a serial line, is to be
had.

Needs Debian's python3-pymodbus.
"""

import asyncio
import struct
import sys

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.server.async_io import ModbusTcpServer
from pymodbus.transaction import ModbusRtuFramer

READ_INPUT_REGISTERS = 4


async def main():
    registers = ModbusSlaveContext(ir=ModbusSequentialDataBlock(0, [0] * 20), zero_mode=True)
    context = ModbusServerContext(slaves={1: registers}, single=False)
    server = ModbusTcpServer(context, framer=ModbusRtuFramer, address=("127.0.0.1", 0))
    serving = asyncio.ensure_future(server.serve_forever())
    while server.server is None:
        await asyncio.sleep(0.01)
    print(server.server.sockets[0].getsockname()[1], flush=True)

    lines = asyncio.StreamReader()
    await asyncio.get_running_loop().connect_read_pipe(
        lambda: asyncio.StreamReaderProtocol(lines), sys.stdin)
    while line := await lines.readline():
        try:
            volts, watts = map(float, line.split())
        except ValueError:
            continue  # half a line, when the machine is reset
        for number, value in ((0, volts), (12, watts)):
            high, low = struct.unpack(">HH", struct.pack(">f", value))
            registers.setValues(READ_INPUT_REGISTERS, number, [high, low])
    serving.cancel()


asyncio.run(main())
