// Reads 44.1 kHz mono float32 from standard input; writes "seconds hertz" a frame by the
// probabilistic YIN of essentia.js (Mauch & Dixon 2014), 0 where it hears no pitch.
// node pyin.cjs CACHE, where CACHE/node_modules/essentia.js is.
const path = require("path");
const folder = path.join(process.argv[2], "node_modules", "essentia.js");
const { EssentiaWASM, Essentia } = require(folder);

const essentia = new Essentia(EssentiaWASM);
const bytes = require("fs").readFileSync(0);
const samples = new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length >> 2);
const hop = 256;
const found = essentia.PitchYinProbabilistic(essentia.arrayToVector(samples), 2048, hop, 0.1, "zero", false, 44100);
const pitch = essentia.vectorToArray(found.pitch);
const lines = [];
for (let i = 0; i < pitch.length; ++i) lines.push(`${((i * hop) / 44100).toFixed(5)} ${pitch[i].toFixed(3)}`);
process.stdout.write(lines.join("\n") + "\n");
