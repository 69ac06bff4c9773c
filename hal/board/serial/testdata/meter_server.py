"""A Modbus RTU server on a serial port, with numbers in every form and order.

It prints one JSON object for each number, then a line "ready". The bytes are
packed by Python's struct module.
"""
import json
import struct
import sys

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.server import StartSerialServer

try:
    from pymodbus.transaction import ModbusRtuFramer
except ImportError:
    from pymodbus.framer.rtu_framer import ModbusRtuFramer

FORMS = {"float32": ">f", "uint16": ">H", "int16": ">h", "uint32": ">I", "int32": ">i"}
VALUES = {
    "float32": [230.0, 123.456, -2.5, 1985.25],
    "uint16": [1985, 65535, 230, 1],
    "int16": [-1, -32768, 32767, 50],
    "uint32": [4294967295, 1985, 70000, 1],
    "int32": [-2147483648, 2147483647, -70000, 50],
}
ORDERS = ["ABCD", "CDAB", "BADC", "DCBA"]


def packed(form, order, value):
    """Returns the number's registers in an order."""
    data = struct.pack(FORMS[form], value)
    if order in ("BADC", "DCBA"):
        data = b"".join(data[i + 1:i + 2] + data[i:i + 1] for i in range(0, len(data), 2))
    words = [int.from_bytes(data[i:i + 2], "big") for i in range(0, len(data), 2)]
    return words[::-1] if order in ("CDAB", "DCBA") else words


def main():
    port, baud, parity = sys.argv[1:4]
    banks = {"input": [0] * 400, "holding": [0] * 400}
    number = 0
    for table, bank in banks.items():
        for form, values in VALUES.items():
            for order in ORDERS:
                number += 3
                for value in values[:1] if table == "holding" else values:
                    words = packed(form, order, value)
                    bank[number:number + len(words)] = words
                    exact = struct.unpack(FORMS[form], struct.pack(FORMS[form], value))[0]
                    print(json.dumps({"table": table, "number": number, "form": form, "order": order, "value": exact}))
                    number += 2
        number = 0
    context = ModbusServerContext(slaves=ModbusSlaveContext(
        ir=ModbusSequentialDataBlock(0, banks["input"]), hr=ModbusSequentialDataBlock(0, banks["holding"]), zero_mode=True))
    print("ready", flush=True)
    StartSerialServer(context=context, framer=ModbusRtuFramer, port=port, baudrate=int(baud), parity=parity, stopbits=1, bytesize=8, timeout=0.01)


if __name__ == "__main__":
    main()
