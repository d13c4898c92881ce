/// Two faces, the letters of our seven languages only.
import "@fontsource/alegreya/latin-400.css";
import "@fontsource/alegreya/latin-400-italic.css";
import "@fontsource/alegreya/latin-700.css";
import "@fontsource/alegreya-sans/latin-400.css";
import "@fontsource/alegreya-sans/latin-500.css";

const faces = ["400 1em Alegreya", "italic 400 1em Alegreya", "700 1em Alegreya", "400 1em 'Alegreya Sans'", "500 1em 'Alegreya Sans'"];

/// When all letters are there, or cannot be: drawn before, they would change their widths.
export async function letters(): Promise<void> {
  await Promise.allSettled(faces.map((face) => document.fonts.load(face)));
}
