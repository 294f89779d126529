/**
 * Imports run one way: planner <- firmware-host <- web-ui. The planner knows neither Node nor the DOM (its tsconfig has the types of
 * neither; here the imports are checked), the pages know the planner and the *types* of the server's messages only.
 */
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { isBuiltin } from 'node:module';
import { dirname, join, relative, resolve, sep } from 'node:path';
import ts from 'typescript';
import { describe, expect, test } from 'vitest';

const ROOT = join(__dirname, '..', '..');

/** npm packages that are pure computation, and so may be used by the planner. */
const PURE_PACKAGES = ['yaml', 'zod', 'highs'];
/** What the pages may bring to the browser. */
const PAGE_PACKAGES = ['preact', '@preact/signals', 'socket.io-client', 'uplot', ...PURE_PACKAGES];

interface Import {
  file: string;
  line: number;
  target: string;
  typeOnly: boolean;
}

function sources(room: string): string[] {
  return readdirSync(join(ROOT, room), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name) && !name.split(sep).includes('dist') && !name.endsWith('.d.ts'))
    .map((name) => join(ROOT, room, name))
    .filter((path) => statSync(path).isFile());
}

/** Every import, export-from, dynamic import and require of a file. */
function importsOf(file: string, text: string): Import[] {
  const source = ts.createSourceFile(
    file,
    text,
    ts.ScriptTarget.Latest,
    true,
    file.endsWith('x') ? ts.ScriptKind.TSX : ts.ScriptKind.TS,
  );
  const found: Import[] = [];
  const add = (node: ts.Node, target: ts.Expression | undefined, typeOnly: boolean): void => {
    if (target && ts.isStringLiteralLike(target)) {
      const line = source.getLineAndCharacterOfPosition(node.getStart()).line + 1;
      found.push({ file, line, target: target.text, typeOnly });
    }
  };
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node)) {
      const clause = node.importClause;
      const named = clause?.namedBindings;
      const allTypes =
        clause !== undefined &&
        clause.name === undefined &&
        named !== undefined &&
        ts.isNamedImports(named) &&
        named.elements.every((element) => element.isTypeOnly);
      add(node, node.moduleSpecifier, clause?.isTypeOnly === true || allTypes);
    } else if (ts.isExportDeclaration(node)) add(node, node.moduleSpecifier, node.isTypeOnly);
    else if (ts.isImportEqualsDeclaration(node) && ts.isExternalModuleReference(node.moduleReference))
      add(node, node.moduleReference.expression, node.isTypeOnly);
    else if (ts.isCallExpression(node)) {
      const callee = node.expression;
      if (callee.kind === ts.SyntaxKind.ImportKeyword || (ts.isIdentifier(callee) && callee.text === 'require'))
        add(node, node.arguments[0], false);
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function complaints(room: string, allowed: (found: Import, roomOfTarget: string | null) => boolean): string[] {
  return sources(room)
    .flatMap((file) => importsOf(file, readFileSync(file, 'utf8')))
    .filter((found) => {
      const inside = found.target.startsWith('.');
      const target = inside ? relative(ROOT, resolve(dirname(found.file), found.target)).split(sep)[0]! : null;
      return !allowed(found, target);
    })
    .map((found) => `${relative(ROOT, found.file)}:${found.line} imports ${found.target}`);
}

const packageName = (target: string): string =>
  target
    .split('/')
    .slice(0, target.startsWith('@') ? 2 : 1)
    .join('/');

describe('imports run one way', () => {
  test('planner imports planner and pure packages only', () => {
    expect(
      complaints('planner', (found, room) =>
        room !== null ? room === 'planner' : PURE_PACKAGES.includes(packageName(found.target)),
      ),
    ).toEqual([]);
  });

  test('firmware-host imports planner and itself, never the pages or the tests', () => {
    expect(
      complaints('firmware-host', (_found, room) => room === null || room === 'planner' || room === 'firmware-host'),
    ).toEqual([]);
  });

  test('web-ui imports planner, itself, and only types from the host', () => {
    expect(
      complaints('web-ui', (found, room) => {
        if (room === null) return !isBuiltin(found.target) && PAGE_PACKAGES.includes(packageName(found.target));
        return room === 'web-ui' || room === 'planner' || (room === 'firmware-host' && found.typeOnly);
      }),
    ).toEqual([]);
  });

  test('the check itself sees each form of import', () => {
    const text = [
      "import a from '../firmware-host/x';",
      "import type { B } from './b';",
      "export { c } from './c';",
      "const d = require('node:fs');",
      "const e = import('./e');",
      "import { type F } from './f';",
    ].join('\n');
    expect(importsOf('sample.ts', text).map(({ target, typeOnly }) => [target, typeOnly])).toEqual([
      ['../firmware-host/x', false],
      ['./b', true],
      ['./c', false],
      ['node:fs', false],
      ['./e', false],
      ['./f', true],
    ]);
  });
});
