/**
 * Makes the page that verifies bundles: one file of HTML with all it needs, for a browser without a network.
 *
 * `npm run verify-page` writes it to `verify-page/verify.html`; or to the file that is named.
 */
import { createHash } from 'node:crypto'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { build } from 'esbuild'

const FOLDER = import.meta.dirname

/** Source of a content security policy that lets through exactly this text. */
const hashSource = (text: string): string => `sha256-${createHash('sha256').update(text).digest('base64')}`

async function bundled(entry: string): Promise<string> {
  const { outputFiles } = await build({
    entryPoints: [join(FOLDER, entry)],
    bundle: true,
    minify: true,
    write: false,
    platform: 'browser',
    format: 'iife',
    target: 'es2022',
    charset: 'utf8',
    logLevel: 'silent',
  })
  const [file] = outputFiles
  if (file === undefined) throw new Error('esbuild wrote nothing.')
  return file.text.trim()
}

/** The page as HTML. */
export async function buildPage(): Promise<string> {
  const script = await bundled('page.ts')
  const style = readFileSync(join(FOLDER, 'page.css'), 'utf8').trim()
  const parts: Readonly<Record<string, string>> = {
    'SCRIPT-HASH': hashSource(script),
    'STYLE-HASH': hashSource(style),
    '<style></style>': `<style>${style}</style>`,
    '<script></script>': `<script>${script}</script>`,
  }
  return readFileSync(join(FOLDER, 'page.html'), 'utf8').replaceAll(
    /SCRIPT-HASH|STYLE-HASH|<style><\/style>|<script><\/script>/g,
    (part) => parts[part]!,
  )
}

if (process.argv[1] === import.meta.filename) {
  const target = process.argv[2] ?? join(FOLDER, 'verify.html')
  writeFileSync(target, await buildPage())
  console.log(`Wrote ${target}`)
}
