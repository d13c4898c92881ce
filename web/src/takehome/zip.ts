/// A zip archive of files that are stored as they are (PKWARE APPNOTE 6.3, method 0): sound does not
/// shrink, and every system opens it.
export interface ZipEntry {
  name: string;
  bytes: Uint8Array;
}

const crcTable = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; ++k) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

/// CRC-32 of ISO 3309, as zip uses it.
export function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = (crcTable[(c ^ byte) & 0xff] ?? 0) ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

/// The fields that a file's own header and its line in the directory share, from "version needed".
function shared(entry: ZipEntry, name: Uint8Array, time: Date): DataView<ArrayBuffer> {
  const view = new DataView(new ArrayBuffer(26));
  const clock = (time.getHours() << 11) | (time.getMinutes() << 5) | (time.getSeconds() >> 1);
  const day = ((time.getFullYear() - 1980) << 9) | ((time.getMonth() + 1) << 5) | time.getDate();
  view.setUint16(0, 20, true);
  view.setUint16(2, 0x0800, true); // names are UTF-8
  view.setUint16(6, clock, true);
  view.setUint16(8, day, true);
  view.setUint32(10, crc32(entry.bytes), true);
  view.setUint32(14, entry.bytes.length, true);
  view.setUint32(18, entry.bytes.length, true);
  view.setUint16(22, name.length, true);
  return view;
}

export function zip(entries: readonly ZipEntry[], time = new Date()): Blob {
  const files: BlobPart[] = [];
  const directory: BlobPart[] = [];
  let at = 0;
  let directorySize = 0;
  for (const entry of entries) {
    const name = new TextEncoder().encode(entry.name);
    const fields = shared(entry, name, time);
    files.push(number(0x04034b50, 4), fields, name as BlobPart, entry.bytes as BlobPart);
    const tail = new DataView(new ArrayBuffer(14));
    tail.setUint32(10, at, true);
    directory.push(number(0x02014b50, 4), number(20, 2), fields, tail, name as BlobPart);
    directorySize += 4 + 2 + fields.byteLength + 14 + name.length;
    at += 4 + fields.byteLength + name.length + entry.bytes.length;
  }
  const end = new DataView(new ArrayBuffer(22));
  end.setUint32(0, 0x06054b50, true);
  end.setUint16(8, entries.length, true);
  end.setUint16(10, entries.length, true);
  end.setUint32(12, directorySize, true);
  end.setUint32(16, at, true);
  return new Blob([...files, ...directory, end.buffer], { type: "application/zip" });
}

function number(value: number, bytes: 2 | 4): ArrayBuffer {
  const view = new DataView(new ArrayBuffer(bytes));
  if (bytes === 2) view.setUint16(0, value, true);
  else view.setUint32(0, value, true);
  return view.buffer;
}
