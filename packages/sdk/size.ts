/** How much a page loads to use the client. */
import { gzipSync } from 'node:zlib'
import { build } from 'esbuild'

export interface BundleSize {
  readonly minifiedBytes: number
  readonly gzipBytes: number
}

/** The core, bundled for browsers, minified, then gzip as a server would send it. */
export const coreSize = (): Promise<BundleSize> => bundleSize("export * from './src/index.ts'")

/**
 * The size of a module that stands in the SDK's folder, with all it imports.
 *
 * @throws if it can't be bundled for browsers, for example because it imports a module of Node.
 */
export async function bundleSize(source: string): Promise<BundleSize> {
  const { outputFiles } = await build({
    stdin: { contents: source, resolveDir: import.meta.dirname, loader: 'ts' },
    bundle: true,
    minify: true,
    write: false,
    platform: 'browser',
    format: 'esm',
    target: 'es2022',
    logLevel: 'silent',
  })
  const [file] = outputFiles
  if (file === undefined) throw new Error('esbuild wrote nothing.')
  return { minifiedBytes: file.contents.byteLength, gzipBytes: gzipSync(file.contents, { level: 9 }).byteLength }
}
