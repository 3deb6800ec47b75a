import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.context.support.DefaultProfileValidationSupport;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.hl7.fhir.instance.model.api.IBaseResource;
import org.hl7.fhir.instance.model.api.IPrimitiveType;

/**
 * Puts the standard's own definitions where the validator looks for them as a package.
 *
 * <p>To check where an extension may stand it loads the release's core package, for each extension anew, from the cache
 * in the user's home, or else from the network. The definitions are in the jars: those of the types on which our
 * extensions stand are written as a package, into a home of our own.
 */
final class OwnCache {
  private static final Map<String, String> PACKAGES = Map.of(
      "R4", "hl7.fhir.r4.core#4.0.1", "R4B", "hl7.fhir.r4b.core#4.3.0", "R5", "hl7.fhir.r5.core#5.0.0");

  private OwnCache() {}

  static void add(FhirContext context, DefaultProfileValidationSupport standard, IBaseResource extension)
      throws IOException {
    Path folder = folder(context);
    List<String> places = context.newTerser().getValues(extension, "context.expression", IPrimitiveType.class).stream()
        .map(IPrimitiveType::getValueAsString)
        .toList();
    for (String place : places) {
      String type = place.split("[.#]")[0];
      IBaseResource definition = standard.fetchStructureDefinition("http://hl7.org/fhir/StructureDefinition/" + type);
      Files.writeString(
          folder.resolve("StructureDefinition-" + type + ".json"),
          context.newJsonParser().encodeResourceToString(definition));
    }
  }

  /** Returns the folder of the release's package, with what makes it one. */
  private static Path folder(FhirContext context) throws IOException {
    String known = PACKAGES.get(context.getVersion().getVersion().name());
    String[] named = known.split("#");
    Path cache = Path.of(System.getProperty("user.home"), ".fhir", "packages");
    Path folder = Files.createDirectories(cache.resolve(known).resolve("package"));
    Files.writeString(cache.resolve("packages.ini"), "[cache]\nversion=3\n\n[urls]\n\n[local]\n\n[packages]\n");
    Files.writeString(folder.resolve("package.json"), """
        {"name": "%s", "version": "%s", "type": "fhir.core", "fhirVersions": ["%s"], "date": "20191101000000",
         "canonical": "http://hl7.org/fhir", "url": "http://hl7.org/fhir"}
        """.formatted(named[0], named[1], named[1]));
    return folder;
  }
}
