/// Makes one file of a page: code, styles and fonts inside, and a content security policy that knows
/// them by their hashes and allows nothing else. What a program fills in later is data, not code, so
/// the hashes stay true.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { transformWithEsbuild, type Plugin } from "vite";

function hash(source: string): string {
  return `'sha256-${createHash("sha256").update(source, "utf8").digest("base64")}'`;
}

function textOf(item: { type: "asset"; source: string | Uint8Array } | { type: "chunk"; code: string }): string {
  if (item.type === "chunk") return item.code;
  return typeof item.source === "string" ? item.source : Buffer.from(item.source).toString("utf8");
}

export function singleFile(): Plugin {
  return {
    name: "endpin-single-file",
    enforce: "post",
    // After the bundler's own steps, which still put addresses of chunks into the code.
    generateBundle: {
      order: "post",
      handler(_options, bundle) {
        const names = Object.keys(bundle);
        const page = names.find((name) => name.endsWith(".html"));
        const item = page === undefined ? undefined : bundle[page];
        if (!page || !item || item.type !== "asset") throw new Error("no page to make one file of");
        const all = (ending: string) =>
          names.filter((n) => n.endsWith(ending)).map((n) => textOf(bundle[n]!)).join("\n");
        // Inside a script element nothing may look like the element's end.
        const code = all(".js").replace(/<\/(script)/gi, "<\\/$1").replace(/<!--/g, "<\\!--");
        const style = all(".css");
        const policy = [
          "default-src 'none'",
          // A page opened as a file may load the audio thread's script from a data address only.
          `script-src ${hash(code)} 'wasm-unsafe-eval' data:`,
          `style-src ${hash(style)}`,
          "font-src data:",
          "img-src data: blob:",
          "media-src data: blob:",
          "connect-src data: blob:",
          "worker-src blob:",
          "base-uri 'none'",
          "form-action 'none'",
        ].join("; ");
        const html = textOf(item)
          .replace(/<script type="module"[^>]*><\/script>/, "")
          .replace(/<link rel="stylesheet"[^>]*>/, "")
          .replace("<!--policy-->", () => `<meta http-equiv="Content-Security-Policy" content="${policy}" />`)
          .replace("</head>", () => `<style>${style}</style></head>`)
          .replace("</body>", () => `<script type="module">${code}</script></body>`);
        for (const name of names) delete bundle[name];
        this.emitFile({ type: "asset", fileName: page, source: html });
      },
    },
  };
}

/// One font format is enough for every browser of the last ten years.
export function oneFontFormat(): Plugin {
  return {
    name: "endpin-one-font-format",
    enforce: "pre",
    transform(source, id) {
      if (!/@fontsource.*\.css/.test(id)) return undefined;
      return source.replace(/,\s*url\([^)]*\.woff\)\s*format\(['"]woff['"]\)/g, "");
    },
  };
}

/// `import source from "./x.worklet.ts?source"` gives the compiled script as text, for a page that
/// may have no second file.
export function scriptSource(): Plugin {
  const suffix = "?source";
  return {
    name: "endpin-script-source",
    enforce: "pre",
    async load(id) {
      if (!id.endsWith(suffix)) return undefined;
      const file = id.slice(0, -suffix.length);
      const { code } = await transformWithEsbuild(readFileSync(file, "utf8"), file, {
        minify: true,
        target: "es2021",
      });
      return `export default ${JSON.stringify(code)}`;
    },
  };
}
